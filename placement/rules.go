package placement

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

//go:embed data/rules
var ruleFiles embed.FS

// Rule is one thing a bite, a line, a patch or a repair is judged by.
type Rule struct {
	ID, Says     string
	Grade        atlas.Grade
	Source       string             // id of an atlas.Source
	Figures      map[string]float64 // in FiguresUnit
	FiguresUnit  string             // mm or %
	FiguresGrade atlas.Grade
}

// Called is what the rule is called, in the middle of a sentence.
func (r Rule) Called() words.Said { return words.Of("rule." + r.ID) }

// Basis says in one phrase what the rule rests on.
func (r Rule) Basis() words.Said {
	if r.Grade == atlas.Practice || r.Grade == atlas.Assumption {
		return r.Grade.Said()
	}
	return words.Of("basis", words.Blanks{"grade": r.Grade.Said(), "source": r.Source})
}

// Rulebook is every rule, in the order they are judged and listed.
type Rulebook struct {
	rules []Rule
	index map[string]int
}

// LoadRulebook reads the embedded rules. It fails only if they and the code do not fit each other.
func LoadRulebook() (*Rulebook, error) { return readRulebook(ruleFiles) }

// readRulebook reads every file of rules, in the order of their names.
func readRulebook(files fs.FS) (*Rulebook, error) {
	names, err := fs.Glob(files, "data/rules/*.yaml")
	if err != nil {
		return nil, fmt.Errorf("rules: %w", err)
	}
	book := &Rulebook{index: map[string]int{}}
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, fmt.Errorf("rules: %w", err)
		}
		tree, problems := strictyaml.Parse(name, data, rulesShape())
		if err := problems.Err(); err != nil {
			return nil, fmt.Errorf("rules: %w", err)
		}
		for _, v := range tree.Get("rules").Items() {
			book.add(ruleFrom(v))
		}
	}
	return book, book.fitsCode()
}

func ruleFrom(v strictyaml.Value) Rule {
	rule := Rule{
		ID: v.Get("id").Text(), Says: v.Get("says").Text(),
		Grade: atlas.Grade(v.Get("grade").Text()), Source: v.Get("source").Text(),
		Figures: map[string]float64{}, FiguresUnit: "mm", FiguresGrade: atlas.Grade(v.Get("figures-grade").Text()),
	}
	if v.Has("figures-unit") {
		rule.FiguresUnit = v.Get("figures-unit").Text()
	}
	for _, key := range v.Get("figures").Keys() {
		rule.Figures[key] = v.Get("figures").Get(key).Number()
	}
	return rule
}

func (b *Rulebook) add(rule Rule) {
	b.index[rule.ID] = len(b.rules)
	b.rules = append(b.rules, rule)
}

// spacingRule is the rule that judges bites together; the others have their code in judges.
const spacingRule = "spacing"

// ruleCode is what the code needs of a rule: that it is there, and which figures it has.
type ruleCode struct {
	id      string
	figures []string
}

// ruleCodes lists what the code judges by: single bites, bites together, the line of a replacement, patches, and what a
// repair makes of the valve.
func ruleCodes() []ruleCode {
	codes := []ruleCode{{id: spacingRule}}
	for _, j := range judges {
		codes = append(codes, ruleCode{j.id, j.figures})
	}
	return slices.Concat(codes, lineRules, patchRules, repairRules)
}

// fitsCode holds the rules against the code that judges by them.
func (b *Rulebook) fitsCode() error {
	codes := ruleCodes()
	for _, code := range codes {
		rule := b.Rule(code.id)
		if rule.ID == "" {
			return fmt.Errorf("rules: no rule is called %q", code.id)
		}
		for _, figure := range code.figures {
			if _, given := rule.Figures[figure]; !given {
				return fmt.Errorf("rules: %q lacks the figure %q", code.id, figure)
			}
		}
	}
	// With every rule of the code found, one too many is a stranger or a double.
	if len(b.rules) != len(codes) {
		return fmt.Errorf("rules: %d rules, but the code judges by %d", len(b.rules), len(codes))
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

// figuresShape takes the figures that the code asks for, and no others.
func figuresShape() (shape strictyaml.Object) {
	seen := map[string]bool{}
	for _, code := range ruleCodes() {
		for _, figure := range code.figures {
			if !seen[figure] {
				shape.Fields = append(shape.Fields, strictyaml.Field{Name: figure, Shape: strictyaml.Number{}})
			}
			seen[figure] = true
		}
	}
	return shape
}

func rulesShape() strictyaml.Object {
	return strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "rules", Required: true, Shape: strictyaml.List{Min: 1, Of: strictyaml.Object{Fields: []strictyaml.Field{
			{Name: "id", Required: true, Shape: strictyaml.Text{Min: 1, Max: 40}},
			{Name: "says", Required: true, Shape: strictyaml.Text{Min: 1, Max: 240}},
			{Name: "grade", Required: true, Shape: strictyaml.Choice{Words: []string{"abstract", "secondary", "derived", "memory", "assumption", "practice"}}},
			{Name: "source", Required: true, Shape: strictyaml.Text{Min: 1, Max: 40}},
			{Name: "figures", Shape: figuresShape()},
			{Name: "figures-unit", Shape: strictyaml.Choice{Words: []string{"mm", "%"}}},
			{Name: "figures-grade", Shape: strictyaml.Choice{Words: []string{"abstract", "secondary", "derived", "memory", "assumption", "practice"}}},
		}}}},
	}}
}
