package svgout

import (
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"fairlead/atlas/words"
)

// Page is one sheet of paper. Its sides are in millimetres; Title and Desc
// are what a screen reader says of the whole sheet, in its Language.
type Page struct {
	WidthMM, HeightMM float64
	Title, Desc       string
	Language          *words.Language // nil: English
	Theme             Theme           // empty: paper
}

// Box is the whole sheet as a box, in paper millimetres.
func (p Page) Box() Box { return Box{0, 0, p.WidthMM, p.HeightMM} }

// Anchor says which end of a line of lettering stands at the given point.
type Anchor string

// The three anchors.
const (
	AnchorStart  Anchor = "start"
	AnchorMiddle Anchor = "middle"
	AnchorEnd    Anchor = "end"
)

// Ink draws one sheet, in paper millimetres with y downwards, and never
// stops half way: whatever is wrong is remembered, the mark concerned is
// left out, and Finish or Close reports it all.
type Ink struct {
	drawing  Drawing
	svg      io.Writer // where Close writes
	ids      map[string]bool
	open     []string
	errs     []error
	finished bool
}

// NewDrawing starts a drawing on white paper. Finish gives it back when all
// is drawn.
func NewDrawing(page Page) *Ink {
	k := &Ink{ids: map[string]bool{titleID: true, descID: true}}
	k.drawing.page = k.usablePage(page)
	k.Rect("paper", k.drawing.page.Box())
	return k
}

// NewInk starts a drawing that Close writes to w as SVG.
func NewInk(w io.Writer, page Page) *Ink {
	k := NewDrawing(page)
	k.svg = w
	return k
}

// usablePage records an impossible sheet and falls back to a one millimetre
// square, so that what follows still has a well-formed document to go in.
func (k *Ink) usablePage(page Page) Page {
	if !k.finite("page", page.WidthMM, page.HeightMM) || page.WidthMM <= 0 || page.HeightMM <= 0 {
		k.fail("page: sides %v by %v mm cannot be a sheet of paper", page.WidthMM, page.HeightMM)
		page.WidthMM, page.HeightMM = 1, 1
	}
	if strings.TrimSpace(clean(page.Title)) == "" {
		k.fail("page: a sheet needs a title")
	}
	return page
}

// Group opens a named layer. The id must be new on the sheet; label is what
// a screen reader calls the layer and may be empty.
func (k *Ink) Group(id, label string) {
	k.open = append(k.open, id)
	if !k.claim(id) {
		id = ""
	}
	k.record(entry{kind: kindGroup, name: id, text: strings.TrimSpace(clean(label))})
}

// End closes the layer opened last.
func (k *Ink) End() {
	if len(k.open) == 0 {
		k.fail("End without an open group")
		return
	}
	k.open = k.open[:len(k.open)-1]
	k.record(entry{kind: kindEnd})
}

// Circle draws a circle; rMM is its radius in millimetres.
func (k *Ink) Circle(class string, centre Point, rMM float64) {
	if k.known(class) && k.finite("circle", centre.X, centre.Y, rMM) && k.positive("circle radius", rMM) {
		k.record(entry{kind: kindCircle, name: class, at: rounded(centre), sizeMM: round(rMM)})
	}
}

// Line draws a straight line from one point to another.
func (k *Ink) Line(class string, from, to Point) {
	if k.known(class) && k.finite("line", from.X, from.Y, to.X, to.Y) {
		k.record(entry{kind: kindLine, name: class, at: rounded(from), to: rounded(to)})
	}
}

// Rect draws an upright rectangle.
func (k *Ink) Rect(class string, b Box) {
	if k.known(class) && k.finite("rectangle", b.X, b.Y, b.W, b.H) &&
		k.positive("rectangle width", b.W) && k.positive("rectangle height", b.H) {
		k.record(entry{kind: kindRect, name: class, at: rounded(Point{b.X, b.Y}), to: rounded(Point{b.W, b.H})})
	}
}

// Path draws path data. An empty path draws nothing and is no fault: a hatch
// of a sliver may be empty.
func (k *Ink) Path(class string, p *PathData) {
	if k.known(class) && k.sound("path", class, p) {
		k.record(entry{kind: kindPath, name: class, strokes: p.strokes.clone()})
	}
}

// sound reports whether there is something to draw, and what spoils it.
func (k *Ink) sound(what, class string, p *PathData) bool {
	if p == nil {
		return false
	}
	if p.err != nil {
		k.fail("%s of class %s: %w", what, class, p.err)
		return false
	}
	return !p.Empty()
}

// Text writes one line of lettering with its baseline at y. Whatever the
// text holds, it stays text; right-to-left text keeps within its own line.
func (k *Ink) Text(class string, x, y float64, anchor Anchor, text string) {
	if !k.lettered(class) || !k.anchored(anchor) || !k.finite("text", x, y) {
		return
	}
	if text = strings.TrimSpace(clean(text)); text != "" {
		k.record(entry{kind: kindText, name: class, at: Point{x, y}, anchor: anchor, text: text})
	}
}

// TextBlock writes lines beneath one another, the first one's ascent
// touching top, and returns the y just beneath the last one's descent.
func (k *Ink) TextBlock(class string, x, top float64, anchor Anchor, lines []string) float64 {
	size := Lettering(class).SizeMM
	for i, line := range lines {
		k.Text(class, x, top+float64(i)*LineHeight(size)+ascentEm*size, anchor, line)
	}
	return top + BlockHeight(class, len(lines))
}

// Finish ends the drawing and gives it back, or tells everything that went
// wrong on it: unbalanced groups, bad numbers, unknown classes, repeated ids.
func (k *Ink) Finish() (*Drawing, error) {
	if err := k.end(); err != nil {
		return nil, err
	}
	return &k.drawing, nil
}

// Close ends the drawing, writes it as SVG to the writer given to NewInk, and
// reports everything that went wrong, failed writes among it. What is
// written is well-formed even then.
func (k *Ink) Close() error {
	if k.svg == nil {
		return errors.New("svgout: a drawing from NewDrawing is ended by Finish")
	}
	if k.finished {
		return k.end()
	}
	return errors.Join(k.end(), WriteSVG(k.svg, &k.drawing))
}

func (k *Ink) end() error {
	if k.finished {
		return errors.New("svgout: drawing ended twice")
	}
	for len(k.open) > 0 {
		k.fail("group %q is never closed", k.open[len(k.open)-1])
		k.End()
	}
	k.finished = true
	return errors.Join(k.errs...)
}

func (k *Ink) record(e entry) {
	if k.finished {
		return // a drawing given away does not change
	}
	k.drawing.entries = append(k.drawing.entries, e)
}

func (k *Ink) fail(format string, args ...any) {
	k.errs = append(k.errs, fmt.Errorf("svgout: "+format, args...))
}

// claim takes an id for one element and reports whether it may have it.
func (k *Ink) claim(id string) bool {
	switch {
	case !wellFormedID.MatchString(id):
		k.fail("id %q is not well formed", id)
		return false
	case k.ids[id]:
		k.fail("id %q is used twice", id)
		return false
	}
	k.ids[id] = true
	return true
}

var wellFormedID = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_-]*$`)

func (k *Ink) known(class string) bool {
	if _, ok := ruleByClass[class]; !ok {
		k.fail("no class %q in the house style", class)
		return false
	}
	return true
}

func (k *Ink) lettered(class string) bool {
	if !k.known(class) {
		return false
	}
	if ruleByClass[class].Font.SizeMM == 0 {
		k.fail("class %q is not for lettering", class)
		return false
	}
	return true
}

func (k *Ink) anchored(a Anchor) bool {
	if a != AnchorStart && a != AnchorMiddle && a != AnchorEnd {
		k.fail("no anchor %q", a)
		return false
	}
	return true
}

func (k *Ink) finite(what string, values ...float64) bool {
	for _, v := range values {
		if err := drawable(v); err != nil {
			k.fail("%s: %w", what, err)
			return false
		}
	}
	return true
}

func (k *Ink) positive(what string, v float64) bool {
	if round(v) <= 0 {
		k.fail("%s %v is not positive", what, v)
		return false
	}
	return true
}

// largestMM bounds what may be written. A coordinate beyond a kilometre is a
// mistake upstream, and not every viewer reads such a number.
const largestMM = 1e6

// round takes a coordinate to the step written, and minus zero to zero. A
// thousandth of a millimetre is far below what any printer resolves.
func round(v float64) float64 {
	return math.Round(v*1000)/1000 + 0
}

func rounded(p Point) Point { return Point{round(p.X), round(p.Y)} }

// drawable refuses what is no length on paper.
func drawable(v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > largestMM {
		return fmt.Errorf("%v is not a length that can be drawn", v)
	}
	return nil
}

// number formats a coordinate: at most three decimals, no idle zeros, never
// an exponent, and no number that is not one.
func number(v float64) (string, error) {
	if err := drawable(v); err != nil {
		return "", err
	}
	return strconv.FormatFloat(round(v), 'f', -1, 64), nil
}

// decimal is a number as precise as a coordinate, to be said.
func decimal(v float64) words.Number { return words.Number(mustNumber(v)) }

// mustNumber is number for values already known to be drawable.
func mustNumber(v float64) string {
	s, err := number(v)
	if err != nil {
		panic(err)
	}
	return s
}

// clean makes any string fit for XML 1.0 and for one line: broken UTF-8
// becomes U+FFFD, white space becomes a blank, characters XML forbids go, and
// so do the embedding and override controls that could turn a whole line
// round. Isolates stay, but only in pairs. Soft hyphens go: where a line is
// broken at one, Wrap has set a hyphen.
func clean(text string) string { return strings.ReplaceAll(cleanForBreaking(text), softHyphen, "") }

// cleanForBreaking is clean with the soft hyphens left in their places.
func cleanForBreaking(text string) string {
	var b strings.Builder
	depth := 0
	for _, r := range text {
		switch {
		case unicode.IsSpace(r) && r != '\u00a0':
			b.WriteRune(' ')
		case unicode.IsControl(r), r == '\ufffe', r == '\uffff', r >= '\u202a' && r <= '\u202e':
		case r >= '\u2066' && r <= '\u2068':
			depth++
			b.WriteRune(r)
		case r == popIsolate:
			if depth > 0 {
				depth--
				b.WriteRune(r)
			}
		default:
			b.WriteRune(r)
		}
	}
	b.WriteString(strings.Repeat(string(popIsolate), depth))
	return b.String()
}

const (
	firstStrongIsolate = '\u2068'
	popIsolate         = '\u2069'
)

// Isolate wraps somebody's words, such as the name of a bite, for use inside
// a sentence: their direction is found from themselves and leaves the
// sentence around them as it was.
func Isolate(text string) string {
	return string(firstStrongIsolate) + clean(text) + string(popIsolate)
}
