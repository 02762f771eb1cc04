package svgcheck

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Size reads the size of a sheet in millimetres from its viewBox.
func Size(t testing.TB, sheet []byte) (widthMM, heightMM float64) {
	t.Helper()
	_, after, _ := strings.Cut(string(sheet), `viewBox="`)
	words := strings.Fields(strings.SplitN(after, `"`, 2)[0])
	if len(words) != 4 {
		t.Fatal("the sheet has no viewBox")
	}
	w, errW := plainNumber(words[2])
	h, errH := plainNumber(words[3])
	if errW != nil || errH != nil {
		t.Fatalf("the sheet's viewBox is %q", words)
	}
	return w, h
}

// pixels is the size of a sheet in pixels.
func pixels(t testing.TB, sheet []byte, pxPerMM float64) (w, h int) {
	t.Helper()
	widthMM, heightMM := Size(t, sheet)
	return int(math.Round(widthMM * pxPerMM)), int(math.Round(heightMM * pxPerMM))
}

// RenderRSVG draws a sheet with librsvg.
func RenderRSVG(t testing.TB, sheet []byte, pxPerMM float64) image.Image {
	t.Helper()
	program := need(t, "rsvg-convert")
	w, h := pixels(t, sheet, pxPerMM)
	_, files := stored(t, [][]byte{sheet})
	out, complaint, err := run(t, program, "-w", strconv.Itoa(w), "-h", strconv.Itoa(h), "-b", "white", files[0])
	if err != nil {
		t.Fatalf("rsvg-convert: %v\n%s", err, complaint)
	}
	return decoded(t, out)
}

func decoded(t testing.TB, data []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// chromium runs the browser once, with a profile of its own and no network.
func chromium(t testing.TB, args ...string) []byte {
	t.Helper()
	program := need(t, "chromium", "chromium-browser", "google-chrome")
	flags := []string{
		"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--hide-scrollbars", "--force-device-scale-factor=1", "--user-data-dir=" + t.TempDir(),
	}
	out, complaint, err := run(t, program, append(flags, args...)...)
	if err != nil {
		t.Fatalf("chromium: %v\n%s", err, complaint)
	}
	return out
}

// RenderChromium draws sheets with the browser, all in one run: one beneath
// the other on a page, which is then cut up again.
func RenderChromium(t testing.TB, sheets [][]byte, pxPerMM float64) []image.Image {
	t.Helper()
	dir, _ := stored(t, sheets)
	var page strings.Builder
	page.WriteString("<!DOCTYPE html><meta charset=utf-8><style>*{margin:0}img{display:block}</style>\n")
	var cuts []image.Rectangle
	width, y := 0, 0
	for i, sheet := range sheets {
		w, h := pixels(t, sheet, pxPerMM)
		fmt.Fprintf(&page, "<img src=\"%d.svg\" width=%d height=%d>\n", i, w, h)
		cuts = append(cuts, image.Rect(0, y, w, y+h))
		width, y = max(width, w), y+h
	}
	shot := filepath.Join(dir, "shot.png")
	chromium(t, fmt.Sprintf("--window-size=%d,%d", width, y), "--screenshot="+shot, written(t, dir, page.String()))
	data, err := os.ReadFile(shot)
	if err != nil {
		t.Fatal(err)
	}
	return cutUp(t, decoded(t, data), cuts)
}

func written(t testing.TB, dir, page string) (url string) {
	t.Helper()
	name := filepath.Join(dir, "page.html")
	if err := os.WriteFile(name, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	return "file://" + name
}

func cutUp(t testing.TB, whole image.Image, cuts []image.Rectangle) []image.Image {
	t.Helper()
	images := make([]image.Image, len(cuts))
	for i, cut := range cuts {
		if !cut.In(whole.Bounds()) {
			t.Fatalf("the browser's picture of %v does not hold sheet %d at %v", whole.Bounds(), i, cut)
		}
		part := image.NewRGBA(image.Rect(0, 0, cut.Dx(), cut.Dy()))
		draw.Draw(part, part.Bounds(), whole, cut.Min, draw.Src)
		images[i] = part
	}
	return images
}

// TextBox is where the browser set one text element, in paper millimetres.
type TextBox struct {
	Class string  `json:"class"`
	Text  string  `json:"text"`
	X     float64 `json:"x"`
	Y     float64 `json:"y"`
	W     float64 `json:"w"`
	H     float64 `json:"h"`
}

// Overlaps says whether the boxes share more than a thousandth of a
// millimetre either way.
func (b TextBox) Overlaps(c TextBox) bool {
	const touch = 0.001
	return b.X+touch < c.X+c.W && c.X+touch < b.X+b.W && b.Y+touch < c.Y+c.H && c.Y+touch < b.Y+b.H
}

// boxScript shows each sheet by itself, so that neither ids nor styles of
// one reach another, and writes down where its text elements stand. It shows
// them enlarged: the browser rounds the height of lettering to whole pixels.
const boxScript = `
const found = sheets.map(source => {
  const parsed = new DOMParser().parseFromString(source, 'image/svg+xml').documentElement;
  const svg = document.body.appendChild(document.importNode(parsed, true));
  svg.style.width = svg.viewBox.baseVal.width * 100 + 'px';
  svg.style.height = svg.viewBox.baseVal.height * 100 + 'px';
  const frame = svg.getBoundingClientRect();
  const mm = svg.viewBox.baseVal.width / frame.width;
  const boxes = Array.from(svg.querySelectorAll('text'), t => {
    const b = t.getBoundingClientRect();
    return {class: t.getAttribute('class'), text: t.textContent,
      x: (b.left - frame.left) * mm, y: (b.top - frame.top) * mm, w: b.width * mm, h: b.height * mm};
  });
  svg.remove();
  return boxes;
});
const out = document.createElement('pre');
out.id = 'found';
out.textContent = JSON.stringify(found);
document.body.appendChild(out);
`

// TextBoxes asks the browser where every text element of every sheet stands.
func TextBoxes(t testing.TB, sheets ...[]byte) [][]TextBox {
	t.Helper()
	sources := make([]string, len(sheets))
	for i, sheet := range sheets {
		sources[i] = string(sheet)
	}
	// The JSON encoder writes < and > as escapes, so no sheet can end the
	// script element.
	list, err := json.Marshal(sources)
	if err != nil {
		t.Fatal(err)
	}
	page := "<!DOCTYPE html><meta charset=utf-8><body><script>\nconst sheets = " + string(list) + ";" + boxScript + "</script>"
	dom := string(chromium(t, "--dump-dom", written(t, t.TempDir(), page)))
	_, after, ok := strings.Cut(dom, `<pre id="found">`)
	if !ok {
		t.Fatal("the browser reported no boxes")
	}
	var boxes [][]TextBox
	if err := json.Unmarshal([]byte(html.UnescapeString(strings.SplitN(after, "</pre>", 2)[0])), &boxes); err != nil {
		t.Fatal(err)
	}
	return boxes
}
