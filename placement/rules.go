package placement

import (
	_ "embed"
	"fmt"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

//go:embed data/rules.yaml
var rulesYAML []byte

// Rule is one thing a bite is judged by.
type Rule struct {
	ID, Title, Says string
	Grade           atlas.Grade
	Source          string             // id of an atlas.Source
	Figures         map[string]float64 // mm
	FiguresGrade    atlas.Grade
}

// Basis says in one phrase what the rule rests on.
func (r Rule) Basis() string {
	if r.Grade == atlas.Practice || r.Grade == atlas.Assumption {
		return r.Grade.String()
	}
	return r.Grade.String() + ": " + r.Source
}

// Rulebook is every rule, in the order they are judged and listed.
type Rulebook struct {
	rules []Rule
	index map[string]int
}

// LoadRulebook reads the embedded rules. It fails only if they and the code do not fit each other.
func LoadRulebook() (*Rulebook, error) { return readRulebook(rulesYAML) }

func readRulebook(data []byte) (*Rulebook, error) {
	tree, problems := strictyaml.Parse("rules.yaml", data, rulesShape)
	if err := problems.Err(); err != nil {
		return nil, fmt.Errorf("rules: %w", err)
	}
	book := &Rulebook{index: map[string]int{}}
	for i, v := range tree.Get("rules").Items() {
		rule := Rule{
			ID: v.Get("id").Text(), Title: v.Get("title").Text(), Says: v.Get("says").Text(),
			Grade: atlas.Grade(v.Get("grade").Text()), Source: v.Get("source").Text(),
			Figures: map[string]float64{}, FiguresGrade: atlas.Grade(v.Get("figures-grade").Text()),
		}
		for _, key := range v.Get("figures").Keys() {
			rule.Figures[key] = v.Get("figures").Get(key).Number()
		}
		book.rules = append(book.rules, rule)
		book.index[rule.ID] = i
	}
	return book, book.fitsCode()
}

// spacingRule is the rule that judges bites together; the others have their code in judges.
const spacingRule = "spacing"

// fitsCode holds the rules against the code that judges by them.
func (b *Rulebook) fitsCode() error {
	for _, j := range append([]judge{{id: spacingRule}}, judges...) {
		rule := b.Rule(j.id)
		if rule.ID == "" {
			return fmt.Errorf("rules: no rule is called %q", j.id)
		}
		for _, figure := range j.figures {
			if _, given := rule.Figures[figure]; !given {
				return fmt.Errorf("rules: %q lacks the figure %q", j.id, figure)
			}
		}
	}
	// With every rule of the code found, one too many is a stranger or a double.
	if len(b.rules) != len(judges)+1 {
		return fmt.Errorf("rules: %d rules, but the code judges by %d", len(b.rules), len(judges)+1)
	}
	return nil
}

// Rules lists the rules.
func (b *Rulebook) Rules() []Rule { return append([]Rule(nil), b.rules...) }

// Rule finds a rule by its id; an unknown one is empty.
func (b *Rulebook) Rule(id string) Rule {
	if i, known := b.index[id]; known {
		return b.rules[i]
	}
	return Rule{}
}

var figuresShape = strictyaml.Object{Fields: []strictyaml.Field{
	{Name: "deepest", Shape: strictyaml.Number{}},
	{Name: "beyond", Shape: strictyaml.Number{}},
	{Name: "tissue", Shape: strictyaml.Number{}},
	{Name: "leaflet", Shape: strictyaml.Number{}},
}}

var rulesShape = strictyaml.Object{Fields: []strictyaml.Field{
	{Name: "rules", Required: true, Shape: strictyaml.List{Min: 1, Of: strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "id", Required: true, Shape: strictyaml.Text{Min: 1, Max: 40}},
		{Name: "title", Required: true, Shape: strictyaml.Text{Min: 1, Max: 80}},
		{Name: "says", Required: true, Shape: strictyaml.Text{Min: 1, Max: 200}},
		{Name: "grade", Required: true, Shape: strictyaml.Choice{Words: []string{"abstract", "secondary", "derived", "memory", "assumption", "practice"}}},
		{Name: "source", Required: true, Shape: strictyaml.Text{Min: 1, Max: 40}},
		{Name: "figures", Shape: figuresShape},
		{Name: "figures-grade", Shape: strictyaml.Choice{Words: []string{"memory", "assumption"}}},
	}}}},
}}
