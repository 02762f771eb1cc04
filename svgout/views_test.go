package svgout

import (
	"io"
	"testing"

	"fairlead/atlas/words"
	"fairlead/placement"
)

func german(t testing.TB) *words.Language {
	t.Helper()
	language, err := words.Load("de")
	if err != nil {
		t.Fatal(err)
	}
	return language
}

// The views as SVG, for tests.

func AtrialView(w io.Writer, report *placement.Report) error {
	return AtrialViewTurned(w, report, Habit{})
}

func AtrialViewTurned(w io.Writer, report *placement.Report, habit Habit) error {
	drawing, err := AtrialDrawing(report, Reader{Habit: habit})
	return asSVG(w, drawing, err)
}

func StripView(w io.Writer, report *placement.Report) error {
	drawing, err := StripDrawing(report, Reader{})
	return asSVG(w, drawing, err)
}

func TwoViewPlate(w io.Writer, report *placement.Report) error {
	drawing, err := TwoViewDrawing(report, Reader{})
	return asSVG(w, drawing, err)
}

func SectionView(w io.Writer, report *placement.Report, bite string) error {
	drawing, err := SectionDrawing(report, bite, Reader{})
	return asSVG(w, drawing, err)
}

func UprightView(w io.Writer, report *placement.Report) error {
	drawing, err := UprightDrawing(report, Reader{})
	return asSVG(w, drawing, err)
}

func RepairView(w io.Writer, report *placement.Report) error {
	drawing, err := RepairDrawing(report, Reader{})
	return asSVG(w, drawing, err)
}

func TemplateView(w io.Writer, report *placement.Report, patch int) error {
	drawing, err := TemplateDrawing(report, patch, Reader{})
	return asSVG(w, drawing, err)
}

func (s *PlanSheet) DrawPage(w io.Writer, page int) error {
	drawing, err := s.Page(page)
	return asSVG(w, drawing, err)
}

func asSVG(w io.Writer, drawing *Drawing, err error) error {
	if err != nil {
		return err
	}
	return WriteSVG(w, drawing)
}
