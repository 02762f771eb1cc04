package svgout

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"fairlead/svgout/svgcheck"
)

func TestNumber(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0", math.Copysign(0, -1): "0", -0.0004: "0", 0.0005: "0.001", 1.5: "1.5", 10: "10",
		-2.25: "-2.25", 1.0 / 3: "0.333", 123456.7891: "123456.789", 1e-9: "0", 999999: "999999",
	} {
		if got, err := number(v); err != nil || got != want {
			t.Errorf("number(%v) = %q, %v; want %q", v, got, err, want)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e7, -math.MaxFloat64} {
		if got, err := number(v); err == nil {
			t.Errorf("number(%v) = %q without an error", v, got)
		}
	}
}

func TestClean(t *testing.T) {
	for text, want := range map[string]string{
		"plain":                    "plain",
		"a\tb\nc\r\u2028d":         "a b c  d",
		"a\x00b\x07c\x1bd\x7fe":    "abcde",
		"a\u0085b":                 "a b",
		"a\ufffeb\uffffc":          "abc",
		"a\xffb":                   "a\ufffdb",
		"\xed\xa0\x80":             "\ufffd\ufffd\ufffd",
		"\u202dx\u202e y\u202c":    "x y",
		"\u2067open":               "\u2067open\u2069",
		"shut\u2069 \u2068a\u2069": "shut \u2068a\u2069",
		"no\u00a0break":            "no\u00a0break",
	} {
		if got := clean(text); got != want {
			t.Errorf("clean(%q) = %q, want %q", text, got, want)
		}
	}
}

func TestIsolateCannotBeEscapedFrom(t *testing.T) {
	if got, want := Isolate("a\u2069\u2069 \u202eb\u2066"), "\u2068a b\u2066\u2069\u2069"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestEqualCallsWriteEqualBytes(t *testing.T) {
	first, _ := samplePlate(t)
	second, _ := samplePlate(t)
	if !bytes.Equal(first, second) {
		t.Error("two sheets drawn alike differ")
	}
}

func TestSampleIsStrictlySound(t *testing.T) {
	sheet, _ := samplePlate(t)
	svgcheck.CheckStrict(t, sheet)
}

// TestTextComesBackAsWritten reads the sheet with a parser: whatever a label
// holds must come back as that text and nothing else.
func TestTextComesBackAsWritten(t *testing.T) {
	var out bytes.Buffer
	page := samplePage
	page.Title, page.Desc = hostileNames[0], hostileNames[1]
	k := NewInk(&out, page)
	for _, name := range hostileNames {
		k.Text("label", 10, 10, AnchorStart, name)
	}
	k.Group("g", hostileNames[1])
	k.End()
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	var read struct {
		Title string   `xml:"title"`
		Desc  string   `xml:"desc"`
		Texts []string `xml:"text"`
		Group struct {
			Label string `xml:"aria-label,attr"`
		} `xml:"g"`
	}
	if err := xml.Unmarshal(out.Bytes(), &read); err != nil {
		t.Fatal(err)
	}
	if read.Title != hostileNames[0] || read.Desc != hostileNames[1] || read.Group.Label != hostileNames[1] {
		t.Errorf("title %q, description %q, label %q", read.Title, read.Desc, read.Group.Label)
	}
	if len(read.Texts) != len(hostileNames) {
		t.Fatalf("%d texts came back of %d", len(read.Texts), len(hostileNames))
	}
	for i, name := range hostileNames {
		if want := strings.TrimSpace(clean(name)); read.Texts[i] != want {
			t.Errorf("text %d came back as %q, want %q", i, read.Texts[i], want)
		}
	}
}

// faults are drawings that must not pass, with a word of the report wanted.
var faults = map[string]struct {
	draw func(k *Ink)
	want string
}{
	"open group":        {func(k *Ink) { k.Group("a", "") }, "never closed"},
	"end alone":         {func(k *Ink) { k.End() }, "without an open group"},
	"id twice":          {func(k *Ink) { k.Group("a", ""); k.End(); k.Group("a", ""); k.End() }, "used twice"},
	"reserved id":       {func(k *Ink) { k.Group(titleID, ""); k.End() }, "used twice"},
	"bad id":            {func(k *Ink) { k.Group("1 a", ""); k.End() }, "not well formed"},
	"empty id":          {func(k *Ink) { k.Group("", ""); k.End() }, "not well formed"},
	"no number":         {func(k *Ink) { k.Circle("rim", Point{math.NaN(), 0}, 1) }, "cannot be drawn|can be drawn"},
	"infinite line":     {func(k *Ink) { k.Line("rim", Point{}, Point{math.Inf(1), 0}) }, "can be drawn"},
	"infinite text":     {func(k *Ink) { k.Text("label", 0, math.Inf(-1), AnchorStart, "x") }, "can be drawn"},
	"negative radius":   {func(k *Ink) { k.Circle("rim", Point{}, -1) }, "not positive"},
	"vanishing radius":  {func(k *Ink) { k.Circle("rim", Point{}, 0.0004) }, "not positive"},
	"negative width":    {func(k *Ink) { k.Rect("rim", Box{0, 0, -1, 1}) }, "not positive"},
	"unknown class":     {func(k *Ink) { k.Line("rimm", Point{}, Point{1, 1}) }, "no class"},
	"quote in class":    {func(k *Ink) { k.Line(`rim" onload="x`, Point{}, Point{1, 1}) }, "no class"},
	"text without font": {func(k *Ink) { k.Text("rim", 0, 0, AnchorStart, "x") }, "not for lettering"},
	"bad anchor":        {func(k *Ink) { k.Text("label", 0, 0, "left", "x") }, "no anchor"},
	"stroke in the air": {func(k *Ink) { k.Path("rim", (&PathData{}).LineTo(Point{1, 1})) }, "before the first MoveTo"},
	"path to nowhere":   {func(k *Ink) { k.Path("rim", (&PathData{}).MoveTo(Point{math.NaN(), 1})) }, "can be drawn"},
	"hatch of no pitch": {func(k *Ink) { k.Path("rim", Hatch([]Point{{0, 0}, {9, 0}, {0, 9}}, 0, 0)) }, "hatch"},
	"hatch too fine":    {func(k *Ink) { k.Path("rim", Hatch([]Point{{0, 0}, {9, 0}, {0, 9}}, 0, 1e-7)) }, "hatch"},
	"unknown zone":      {func(k *Ink) { k.Zone("rim", []Point{{0, 0}, {9, 0}, {0, 9}}, false) }, "no zone"},
}

func TestFaultsAreReportedAndLeftOut(t *testing.T) {
	for name, f := range faults {
		var out bytes.Buffer
		k := NewInk(&out, samplePage)
		f.draw(k)
		err := k.Close()
		if err == nil || !matchesAny(err.Error(), f.want) {
			t.Errorf("%s: Close gave %v, want %q", name, err, f.want)
		}
		for _, fault := range svgcheck.Strict(out.Bytes()) {
			t.Errorf("%s: the sheet written is unsound: %v", name, fault)
		}
	}
}

func matchesAny(text, alternatives string) bool {
	for _, a := range strings.Split(alternatives, "|") {
		if strings.Contains(text, a) {
			return true
		}
	}
	return false
}

func TestImpossiblePages(t *testing.T) {
	for name, change := range map[string]func(*Page){
		"no width":      func(p *Page) { p.WidthMM = 0 },
		"no number":     func(p *Page) { p.HeightMM = math.NaN() },
		"no title":      func(p *Page) { p.Title = " \x00" },
		"beyond bounds": func(p *Page) { p.WidthMM = 1e9 },
	} {
		page := samplePage
		change(&page)
		var out bytes.Buffer
		if err := NewInk(&out, page).Close(); err == nil {
			t.Errorf("%s: no error", name)
		}
		for _, fault := range svgcheck.Strict(out.Bytes()) {
			t.Errorf("%s: the sheet written is unsound: %v", name, fault)
		}
	}
}

// failingWriter takes so many bytes and then fails.
type failingWriter struct{ left int }

var errFull = errors.New("disk full")

func (w *failingWriter) Write(p []byte) (int, error) {
	if len(p) > w.left {
		return 0, errFull
	}
	w.left -= len(p)
	return len(p), nil
}

// shortWriter loses bytes without saying so.
type shortWriter struct{}

func (shortWriter) Write(p []byte) (int, error) { return len(p) - 1, nil }

func TestFailedWritesAreReported(t *testing.T) {
	draw := func(w io.Writer) error {
		k := NewInk(w, samplePage)
		for range 1000 {
			k.Line("rim", Point{0, 0}, Point{100, 100})
		}
		return k.Close()
	}
	for _, room := range []int{0, 5000, 50000} {
		if err := draw(&failingWriter{room}); !errors.Is(err, errFull) {
			t.Errorf("with room for %d bytes Close gave %v", room, err)
		}
	}
	if err := draw(shortWriter{}); !errors.Is(err, io.ErrShortWrite) {
		t.Errorf("with lost bytes Close gave %v", err)
	}
	if err := draw(io.Discard); err != nil {
		t.Error(err)
	}
}

func TestClosedTwice(t *testing.T) {
	k := NewInk(io.Discard, samplePage)
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if k.Close() == nil {
		t.Error("a sheet could be closed twice")
	}
}

func TestTextBlockKeepsWithinItsHeight(t *testing.T) {
	k := NewInk(io.Discard, samplePage)
	bottom := k.TextBlock("label", 10, 20, AnchorStart, []string{"one", "two", "three"})
	size := Lettering("label").SizeMM
	lastBaseline := 20 + 2*LineHeight(size) + ascentEm*size
	if want := lastBaseline + descentEm*size; math.Abs(bottom-want) > 1e-9 {
		t.Errorf("the block ends at %v, want %v", bottom, want)
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestBox(t *testing.T) {
	b := Box{10, 10, 20, 10}
	for _, c := range []struct {
		other    Box
		overlaps bool
	}{{Box{25, 15, 10, 10}, true}, {Box{30, 10, 5, 5}, false}, {Box{10, 20, 5, 5}, false}, {Box{12, 12, 1, 1}, true}} {
		if b.Overlaps(c.other) != c.overlaps || c.other.Overlaps(b) != c.overlaps {
			t.Errorf("%v overlaps %v: want %v", b, c.other, c.overlaps)
		}
	}
	if g := b.Grow(2); g != (Box{8, 8, 24, 14}) {
		t.Errorf("grown to %v", g)
	}
	if g := b.Grow(-7); g != (Box{17, 15, 6, 0}) {
		t.Errorf("shrunk to %v", g)
	}
	if !b.Contains(Point{10, 20}) || b.Contains(Point{9.9, 15}) || !b.Encloses(Box{10, 10, 20, 10}) || b.Encloses(Box{10, 10, 20, 10.1}) {
		t.Error("containment is wrong")
	}
}
