package main

import (
	"fmt"
	"io"
	"strings"

	"fairlead/atlas"
	"fairlead/placement"
)

func runLandmarks(s streams, o options, args []string) (int, error) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		return exitWrong, err
	}
	heart, err := heartOf(catalogue, args, s)
	if err != nil {
		return exitWrong, err
	}
	if o.format == "json" {
		return exitClear, writeJSON(s.out, heartJSON(catalogue, heart))
	}
	var t strings.Builder
	writeBody(&t, heart)
	writeLandmarks(&t, heart)
	writeParameters(&t, catalogue, heart)
	fmt.Fprintf(&t, "\n%s\n", placement.Care())
	_, err = io.WriteString(s.out, t.String())
	return exitClear, err
}

// heartOf builds the plan's heart, or the usual adult's when no plan is given.
func heartOf(catalogue *atlas.Catalogue, args []string, s streams) (*atlas.Heart, error) {
	if len(args) == 0 {
		return catalogue.Heart(nil)
	}
	plan, err := readPlan(args[0], s, catalogue)
	if err != nil {
		return nil, err
	}
	laid, problems := placement.Lay(plan, catalogue)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return laid.Heart, nil
}

func writeLandmarks(t *strings.Builder, heart *atlas.Heart) {
	t.WriteString("Landmarks, mm: along the rim clockwise from the anteroseptal commissure, off the hinge, deep under the\n" +
		"endocardium; in the frame x toward the feet, y toward the front, z into the atrium.\n\n")
	fmt.Fprintf(t, "%-28s %6s %6s %5s  %6s %6s %6s  %s\n", "landmark", "along", "off", "deep", "x", "y", "z", "known")
	for _, l := range heart.Landmarks {
		fmt.Fprintf(t, "%-28s %6.1f %6.1f %5.1f  %6.1f %6.1f %6.1f  %s [%s]\n", l.ID, l.Spot.AlongMM, l.Spot.OffMM, l.Spot.DeepMM, l.Frame.X, l.Frame.Y, l.Frame.Z, string(l.Grade), l.Source)
	}
}

func writeBody(t *strings.Builder, heart *atlas.Heart) {
	body := heart.Body
	if body.SurfaceM2 == 0 {
		t.WriteString("Body not given: the usual adult.\n\n")
		return
	}
	by := "given"
	if body.Formula != "" {
		by = "by the formula " + body.Formula
	}
	fmt.Fprintf(t, "Body surface %.2f m2, %s; sizes predicted by %s.\n", body.SurfaceM2, by, body.Label)
	if body.Caution != "" {
		fmt.Fprintf(t, "Caution: %s.\n", body.Caution)
	}
	t.WriteString("\n")
}

func writeParameters(t *strings.Builder, catalogue *atlas.Catalogue, heart *atlas.Heart) {
	t.WriteString("\nParameters: what the body leads one to expect, what was measured, what is taken, each ± one standard deviation;\n" +
		"z of what is taken where the plan gave something, and by whose figures; how well the usual value is known.\n\n")
	fmt.Fprintf(t, "%-26s %-4s %15s %9s %15s %7s  %s\n", "parameter", "", "expected", "measured", "taken", "z", "known")
	for _, v := range heart.Values {
		given, z, by := "", "", ""
		if v.Measured {
			given = fmt.Sprintf("%.1f", v.Given)
			if score, ok := catalogue.Score(heart, v); ok {
				z, by = fmt.Sprintf("%+.1f", score.Z), "; z by "+score.By.String()
			}
		}
		if v.Method != "" {
			by = ", by " + v.Method + by
		}
		fmt.Fprintf(t, "%-26s %-4s %8.1f ± %4.1f %9s %8.1f ± %4.1f %7s  %s [%s]%s\n", v.Name, v.Unit, v.Expected, v.ExpectedSpread, given, v.Here, v.HereSpread, z, string(v.Grade), v.Source, by)
		if v.Note != "" {
			fmt.Fprintf(t, "    %s\n", v.Note)
		}
	}
}

type landmarkJSON struct {
	ID     string     `json:"id"`
	Label  string     `json:"label"`
	Along  float64    `json:"along_mm"`
	Off    float64    `json:"off_mm"`
	Deep   float64    `json:"deep_mm"`
	Frame  [3]float64 `json:"frame_mm"`
	Grade  string     `json:"grade"`
	Source string     `json:"source"`
}

// figure is a value with one standard deviation.
type figure struct {
	Mean   float64 `json:"mean"`
	Spread float64 `json:"spread"`
}

type given struct {
	Value  float64 `json:"value"`
	Method string  `json:"method,omitempty"`
}

type score struct {
	Z  float64 `json:"z"`
	By string  `json:"by"`
}

type parameterJSON struct {
	Name     string    `json:"name"`
	Label    string    `json:"label"`
	Unit     string    `json:"unit"`
	Value    figure    `json:"value"`
	Expected figure    `json:"expected"`
	Measured *given    `json:"measured,omitempty"`
	Usual    figure    `json:"usual"`
	Score    *score    `json:"score,omitempty"`
	Seen     []float64 `json:"seen,omitempty"`
	Grade    string    `json:"grade"`
	Source   string    `json:"source"`
	Note     string    `json:"note,omitempty"`
}

func heartJSON(catalogue *atlas.Catalogue, heart *atlas.Heart) any {
	var out struct {
		Landmarks  []landmarkJSON  `json:"landmarks"`
		Parameters []parameterJSON `json:"parameters"`
	}
	for _, l := range heart.Landmarks {
		out.Landmarks = append(out.Landmarks, landmarkJSON{l.ID, l.Label.String(), l.Spot.AlongMM, l.Spot.OffMM, l.Spot.DeepMM,
			[3]float64{l.Frame.X, l.Frame.Y, l.Frame.Z}, string(l.Grade), l.Source})
	}
	for _, v := range heart.Values {
		p := parameterJSON{Name: v.Name, Label: v.Label.String(), Unit: v.Unit, Value: figure{v.Here, v.HereSpread}, Expected: figure{v.Expected, v.ExpectedSpread},
			Usual: figure{v.Value, v.Spread}, Seen: v.Seen, Grade: string(v.Grade), Source: v.Source, Note: v.Note}
		if v.Measured {
			p.Measured = &given{v.Given, v.Method}
			if z, ok := catalogue.Score(heart, v); ok {
				p.Score = &score{z.Z, z.By.String()}
			}
		}
		out.Parameters = append(out.Parameters, p)
	}
	return out
}
