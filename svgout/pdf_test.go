package svgout

import (
	"bytes"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"fairlead/svgout/svgcheck"
)

func pdfOf(t testing.TB, drawings ...*Drawing) []byte {
	t.Helper()
	return writtenBy(t, func(w io.Writer) error { return WritePDF(w, drawings...) })
}

func recordedExamples(t testing.TB) (drawings []*Drawing) {
	t.Helper()
	for _, file := range examplePlans(t) {
		drawings = append(drawings, recordedExample(t, file))
	}
	return drawings
}

// The drawings of the standards, across: ISO 216 A4 is 210 by 297 mm, A3 297 by
// 420 mm; ANSI/ASME Y14.1 size A (Letter) is 8.5 by 11 inches. A point is
// 1/72 inch (ISO 32000-1, 8.3.2.3).
func TestPDFPagesAreOfTheStandardsSize(t *testing.T) {
	var drawings []*Drawing
	var want [][2]float64
	for _, inches := range [][2]float64{{297 / 25.4, 210 / 25.4}, {11, 8.5}, {210 / 25.4, 297 / 25.4}, {420 / 25.4, 297 / 25.4}} {
		page := smallPage
		page.WidthMM, page.HeightMM = inches[0]*25.4, inches[1]*25.4
		drawings = append(drawings, drawingOf(t, page, everyKind))
		want = append(want, [2]float64{inches[0] * 72, inches[1] * 72})
	}
	pages := svgcheck.PDFPages(t, pdfOf(t, drawings...))
	if len(pages) != len(want) {
		t.Fatalf("%d pages for %d drawings", len(pages), len(want))
	}
	for i, size := range pages {
		if math.Abs(size[0]-want[i][0]) > 0.01 || math.Abs(size[1]-want[i][1]) > 0.01 {
			t.Errorf("page %d measures %v pt, want %v", i+1, size, want[i])
		}
	}
}

func TestPDFTellsOfItself(t *testing.T) {
	page := smallPage
	page.Title = `Größe (a\b) צניפי 🫀`
	document := pdfOf(t, drawingOf(t, page, everyKind), drawingOf(t, smallPage, everyKind))
	info := svgcheck.PDFInfo(t, document)
	for _, words := range []string{"Title:           " + page.Title + "\n", "Subject:         For tests.\n", "Pages:           2\n"} {
		if !strings.Contains(info, words) {
			t.Errorf("pdfinfo does not say %q:\n%s", words, info)
		}
	}
	if strings.Contains(info, "Date") || bytes.Contains(document, []byte("Date")) {
		t.Errorf("the document is dated:\n%s", info)
	}
	for _, words := range []string{"/ViewerPreferences << /PrintScaling /None >>", "/Lang (en)"} {
		if !bytes.Contains(document, []byte(words)) {
			t.Errorf("the document has no %s", words)
		}
	}
}

func TestPDFIsTheSameBytesEachTime(t *testing.T) {
	first, second := pdfOf(t, recordedExamples(t)...), pdfOf(t, recordedExamples(t)...)
	if !bytes.Equal(first, second) {
		t.Errorf("two documents of the same drawings differ from byte %d on", firstDifference(first, second))
	}
	// Two fonts in one of two orders: chance alone must not hide it.
	few := drawingOf(t, smallPage, func(k *Ink) {
		k.Text("label", 10, 10, AnchorStart, "regular")
		k.Text("heading", 10, 20, AnchorStart, "bold")
	})
	for first, i := pdfOf(t, few), 0; i < 30; i++ {
		if again := pdfOf(t, few); !bytes.Equal(first, again) {
			t.Fatalf("two documents of one drawing differ from byte %d on", firstDifference(first, again))
		}
	}
}

// Outermost groups are layers; one of the same label on several pages is one
// layer.
func TestPDFLayers(t *testing.T) {
	drawing := drawingOf(t, smallPage, func(k *Ink) {
		k.Group("outer", "Marks")
		k.Group("inner", "Within")
		k.Circle("rim", Point{20, 20}, 8)
		k.End()
		k.End()
		k.Group("other", "")
		k.End()
	})
	document := pdfOf(t, drawing, drawing)
	if n := bytes.Count(document, []byte("/Type /OCG ")); n != 2 {
		t.Errorf("%d layers, want 2", n)
	}
	for _, label := range []string{"Marks", "other"} {
		if !bytes.Contains(document, []byte(utf16Text(label))) {
			t.Errorf("no layer %q", label)
		}
	}
}

// utf16Text is plain ASCII as PDF writes text: UTF-16BE behind a byte order
// mark (ISO 32000-1, 7.9.2.2).
func utf16Text(ascii string) string {
	return "\xfe\xff\x00" + strings.Join(strings.Split(ascii, ""), "\x00")
}

// poppler finds the ends of every line where its anchor says. Words are
// measured by the widths that a viewer reads in the document; kerned, with
// figures, regular and bold, and in another writing.
func TestPDFLetteringStandsAtItsAnchors(t *testing.T) {
	words := []string{"AVATAR.To.Wave", "1111111111111111", "iiiiillllljjjjj", "MMMMMWWWWW", "המסתם"}
	const x = 148.5
	var anchors []Anchor
	drawing := drawingOf(t, samplePage, func(k *Ink) {
		y := 10.0
		for _, class := range []string{"label", "heading"} {
			for _, word := range words {
				for _, a := range []Anchor{AnchorStart, AnchorMiddle, AnchorEnd} {
					k.Text(class, x, y, a, word)
					anchors, y = append(anchors, a), y+6.5
				}
			}
		}
	})
	found := svgcheck.PDFWords(t, pdfOf(t, drawing))
	if len(found) != len(anchors) {
		t.Fatalf("poppler finds %d words of %d", len(found), len(anchors))
	}
	worst := 0.0
	for i, b := range found {
		at := map[Anchor]float64{AnchorStart: b.X, AnchorMiddle: b.X + b.W/2, AnchorEnd: b.X + b.W}[anchors[i]]
		worst = max(worst, math.Abs(at-x))
		if math.Abs(at-x) > 0.03 {
			t.Errorf("%q anchored at its %s stands at %.3f mm, want %v", b.Text, anchors[i], at, x)
		}
	}
	t.Logf("the farthest is off by %.3f mm", worst)
}

func TestPDFSaysWhatTheDrawingSays(t *testing.T) {
	text := svgcheck.PDFText(t, pdfOf(t, recordedExample(t, "../examples/band-three-mistakes.yaml")))
	for _, words := range []string{"Open band, three mistakes (invented)", "AVOID", "2: 4.3 mm, coronary", "the bar is 50 mm on paper at 100 %"} {
		if !strings.Contains(text, words) {
			t.Errorf("poppler reads no %q in\n%s", words, text)
		}
	}
}

// Names in any writing, and worse, make a document that poppler reads
// without complaint.
func TestPDFOfHostileNames(t *testing.T) {
	page := samplePage
	page.Title, page.Desc = hostileNames[0], hostileNames[2]
	document := pdfOf(t, drawingOf(t, page, func(k *Ink) {
		for i, name := range hostileNames {
			k.Group("g"+string(rune('a'+i)), name)
			k.Text("label", 10, 10+8*float64(i), AnchorStart, name)
			k.End()
		}
	}))
	if text := svgcheck.PDFText(t, document); !strings.Contains(text, "□ stitch □ 7") || !strings.Contains(text, `<script>alert("1")</script>`) {
		t.Errorf("poppler reads\n%s", text)
	}
	svgcheck.RenderPDF(t, document, 1, 2)
}

func TestPDFThatCannotBeWritten(t *testing.T) {
	if err := WritePDF(io.Discard); err == nil {
		t.Error("a PDF without drawings was written")
	}
	drawing := drawingOf(t, smallPage, everyKind)
	if err := WritePDF(&failingWriter{100}, drawing); !errors.Is(err, errFull) {
		t.Errorf("with a full disk: %v", err)
	}
	if err := amendPDF([]byte("%PDF-1.5 without what is to be amended")); err == nil {
		t.Error("a document of another make was amended")
	}
}

func BenchmarkWritePDF(b *testing.B) {
	drawing := recordedExample(b, "../examples/replacement.yaml")
	for b.Loop() {
		pdfOf(b, drawing)
	}
}
