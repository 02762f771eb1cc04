package main

import (
	"fmt"
	"io"
	"strings"

	"fairlead/atlas"
	"fairlead/placement"
)

func runLandmarks(s streams, o options, args []string) (int, error) {
	heart, err := heartOf(args, s)
	if err != nil {
		return exitWrong, err
	}
	if o.format == "json" {
		return exitClear, writeJSON(s.out, heartJSON(heart))
	}
	var t strings.Builder
	writeLandmarks(&t, heart)
	writeParameters(&t, heart)
	fmt.Fprintf(&t, "\n%s\n", placement.Care)
	_, err = io.WriteString(s.out, t.String())
	return exitClear, err
}

// heartOf builds the plan's heart, or the usual adult's when no plan is given.
func heartOf(args []string, s streams) (*atlas.Heart, error) {
	catalogue, err := atlas.LoadCatalogue()
	if err != nil {
		return nil, err
	}
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
		fmt.Fprintf(t, "%-28s %6.1f %6.1f %5.1f  %6.1f %6.1f %6.1f  %s [%s]\n", l.ID, l.Spot.AlongMM, l.Spot.OffMM, l.Spot.DeepMM, l.Frame.X, l.Frame.Y, l.Frame.Z, l.Grade, l.Source)
	}
}

func writeParameters(t *strings.Builder, heart *atlas.Heart) {
	t.WriteString("\nParameters: the value here, one standard deviation, the usual adult value, how well it is known.\n\n")
	fmt.Fprintf(t, "%-26s %8s %7s %8s %-4s %s\n", "parameter", "here", "spread", "usual", "", "known")
	for _, v := range heart.Values {
		known := fmt.Sprintf("%s [%s]", v.Grade, v.Source)
		if v.Measured {
			known = "measured in this patient"
		}
		fmt.Fprintf(t, "%-26s %8.1f %7.1f %8.1f %-4s %s\n", v.Name, v.Here, v.Spread, v.Value, v.Unit, known)
		if v.Note != "" {
			fmt.Fprintf(t, "%-26s %s\n", "", v.Note)
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

type parameterJSON struct {
	Name     string    `json:"name"`
	Label    string    `json:"label"`
	Unit     string    `json:"unit"`
	Here     float64   `json:"value"`
	Measured bool      `json:"measured"`
	Usual    float64   `json:"usual"`
	Spread   float64   `json:"spread"`
	Seen     []float64 `json:"seen,omitempty"`
	Grade    string    `json:"grade"`
	Source   string    `json:"source"`
	Note     string    `json:"note,omitempty"`
}

func heartJSON(heart *atlas.Heart) any {
	var out struct {
		Landmarks  []landmarkJSON  `json:"landmarks"`
		Parameters []parameterJSON `json:"parameters"`
	}
	for _, l := range heart.Landmarks {
		out.Landmarks = append(out.Landmarks, landmarkJSON{l.ID, l.Label, l.Spot.AlongMM, l.Spot.OffMM, l.Spot.DeepMM,
			[3]float64{l.Frame.X, l.Frame.Y, l.Frame.Z}, string(l.Grade), l.Source})
	}
	for _, v := range heart.Values {
		out.Parameters = append(out.Parameters, parameterJSON{v.Name, v.Label, v.Unit, v.Here, v.Measured, v.Value, v.Spread, v.Seen, string(v.Grade), v.Source, v.Note})
	}
	return out
}
