package placement

import (
	_ "embed"
	"fmt"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

//go:embed data/size.yaml
var sizeYAML []byte

// SizeFigure is a figure that devices are sized by, in its unit: mm, % or, for a plain number, 1.
type SizeFigure struct {
	Name, Label   string
	Value, Spread float64 // one standard deviation; 0 where none is known
	Unit          string
	Grade         atlas.Grade
	Cite, Note    string
}

// Basis says in one phrase what the figure rests on.
func (f SizeFigure) Basis() string { return basisOf(f.Grade, f.Cite) }

// basisOf names a grade with its source, where it has one.
func basisOf(grade atlas.Grade, source string) string {
	if source == "" || grade == atlas.Practice || grade == atlas.Assumption {
		return grade.String()
	}
	return grade.String() + ": " + source
}

// sizeFigures are the figures by name.
type sizeFigures map[string]SizeFigure

// sizeFigureNames are the figures the code asks for: the file has these and no others.
var sizeFigureNames = []string{
	"free-wall-ratio", "band-in-life", "worth-taking",
	"bite-travel", "bite-gap", "bite-depth", "start-least", "start-most", "end-before-triangle",
}

// readSizeFigures reads the embedded figures. It fails only if they and the code do not fit each other.
func readSizeFigures(data []byte) (sizeFigures, error) {
	tree, problems := strictyaml.Parse("size.yaml", data, sizeFiguresShape())
	if err := problems.Err(); err != nil {
		return nil, fmt.Errorf("figures to size by: %w", err)
	}
	figures := sizeFigures{}
	for _, v := range tree.Get("figures").Items() {
		f := SizeFigure{
			Name: v.Get("name").Text(), Label: v.Get("label").Text(), Value: v.Get("value").Number(), Spread: v.Get("spread").Number(),
			Unit: v.Get("unit").Text(), Grade: atlas.Grade(v.Get("grade").Text()), Cite: v.Get("cite").Text(), Note: v.Get("note").Text(),
		}
		if f.Grade.Published() != (f.Cite != "") {
			return nil, fmt.Errorf("figures to size by: %s is graded %q and cites %q", f.Name, f.Grade, f.Cite)
		}
		figures[f.Name] = f
	}
	for _, name := range sizeFigureNames {
		if _, there := figures[name]; !there {
			return nil, fmt.Errorf("figures to size by: no %q", name)
		}
	}
	if listed := len(tree.Get("figures").Items()); listed != len(sizeFigureNames) {
		return nil, fmt.Errorf("figures to size by: %d of them, but the code asks for %d", listed, len(sizeFigureNames))
	}
	return figures, nil
}

func sizeFiguresShape() strictyaml.Object {
	text := func(name string, required bool) strictyaml.Field {
		return strictyaml.Field{Name: name, Required: required, Shape: strictyaml.Text{Min: 1, Max: 200}}
	}
	number := func(name string, required bool) strictyaml.Field {
		return strictyaml.Field{Name: name, Required: required, Shape: strictyaml.Number{Within: strictyaml.AboveUpTo(0, 1000)}}
	}
	return strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "figures", Required: true, Shape: strictyaml.List{Min: 1, Of: strictyaml.Object{Fields: []strictyaml.Field{
			text("name", true), text("label", true), number("value", true), number("spread", false),
			{Name: "unit", Required: true, Shape: strictyaml.Choice{Words: []string{"mm", "%", "1"}}},
			{Name: "grade", Required: true, Shape: strictyaml.Choice{Words: []string{"abstract", "secondary", "derived", "memory", "assumption", "practice"}}},
			text("cite", false), text("note", false),
		}}}},
	}}
}
