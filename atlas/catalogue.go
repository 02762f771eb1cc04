package atlas

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"fmt"
	"slices"

	"fairlead/atlas/growth"
	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

//go:embed data/parameters.yaml
var parametersYAML []byte

//go:embed data/sources.yaml
var sourcesYAML []byte

// Grade is how well a figure is known.
type Grade string

// The grades, from best to least known. Derived is arithmetic on published figures.
const (
	Abstract   Grade = "abstract"
	Secondary  Grade = "secondary"
	Derived    Grade = "derived"
	Memory     Grade = "memory"
	Assumption Grade = "assumption"
	Practice   Grade = "practice"
)

// Said is the grade in words.
func (g Grade) Said() words.Said { return words.Of("grade." + string(g)) }

// String says the grade in English.
func (g Grade) String() string { return g.Said().String() }

// Published tells whether a figure rests on something published that was read, in whole or by quotation.
func (g Grade) Published() bool { return g == Abstract || g == Secondary || g == Derived }

// Parameter is one number the heart is made of. Value, Spread, Least, Most and Seen are in Unit: mm, mm2, deg or %.
type Parameter struct {
	Name        string
	Label       words.Said
	Unit        string
	Value       float64
	Spread      float64 // one standard deviation
	Seen        []float64
	Least, Most float64 // range an override may lie in
	Grade       Grade
	Source      string // id of a Source
	Note        string
	With        map[string]float64 // share of the spread that goes with a factor
	Fixed       bool               // it does not grow with the body
}

// Factor is something that several parameters vary with. Aspect is how the logarithm of the rim's long over short
// axis moves with one standard deviation of it.
type Factor struct {
	Name, About string
	Aspect      float64
}

// Source is what figures rest on.
type Source struct {
	ID, Read, Cite, DOI, About string
}

// Catalogue is all that is known, before it becomes one heart.
type Catalogue struct {
	digest     string
	factors    []Factor
	parameters []Parameter
	sources    []Source
	growth     *growth.Tables
}

// Growth is what is known of how the rim's size goes with the body's.
func (c *Catalogue) Growth() *growth.Tables { return c.growth }

// Digest is the first 12 hexadecimal digits of the SHA-256 of some bytes: enough to tell one file from another.
func Digest(parts ...[]byte) string {
	sum := sha256.Sum256(bytes.Join(parts, nil))
	return hex.EncodeToString(sum[:6])
}

// Digest tells one state of the atlas's data from another.
func (c *Catalogue) Digest() string { return c.digest }

// LoadCatalogue reads the embedded data. It fails only if the data contradict themselves.
func LoadCatalogue() (*Catalogue, error) {
	c, err := readCatalogue(parametersYAML, sourcesYAML)
	if err != nil {
		return nil, err
	}
	if c.growth, err = growth.Load(); err != nil {
		return nil, fmt.Errorf("atlas data: %w", err)
	}
	c.digest = Digest(parametersYAML, sourcesYAML, []byte(c.growth.Digest()))
	return c, nil
}

func readCatalogue(parameters, sources []byte) (*Catalogue, error) {
	c := Catalogue{digest: Digest(parameters, sources)}
	tree, problems := strictyaml.Parse("sources.yaml", sources, sourcesShape)
	for _, v := range tree.Get("sources").Items() {
		if _, known := c.Source(v.Get("id").Text()); known {
			problems.Add(v.Get("id").Position(), fmt.Sprintf("a source is already called %q", v.Get("id").Text()), "an id of its own", "")
		}
		c.sources = append(c.sources, Source{
			ID: v.Get("id").Text(), Read: v.Get("read").Text(), Cite: v.Get("cite").Text(),
			DOI: v.Get("doi").Text(), About: v.Get("about").Text(),
		})
	}
	tree, more := strictyaml.Parse("parameters.yaml", parameters, parametersShape)
	problems = append(problems, more...)
	taken := make(map[string]bool)
	for _, v := range tree.Get("factors").Items() {
		c.factors = append(c.factors, Factor{Name: v.Get("name").Text(), About: v.Get("about").Text(), Aspect: v.Get("aspect").Number()})
	}
	for _, v := range tree.Get("parameters").Items() {
		p := Parameter{
			Name: v.Get("name").Text(), Label: words.Of("parameter." + v.Get("name").Text()), Unit: v.Get("unit").Text(),
			Value: v.Get("value").Number(), Spread: v.Get("spread").Number(),
			Least: v.Get("least").Number(), Most: v.Get("most").Number(),
			Grade: Grade(v.Get("grade").Text()), Source: v.Get("source").Text(), Note: v.Get("note").Text(),
			With: map[string]float64{}, Fixed: v.Get("fixed").Bool(),
		}
		for _, factor := range v.Get("with").Keys() {
			p.With[factor] = v.Get("with").Get(factor).Number()
		}
		for _, seen := range v.Get("seen").Items() {
			p.Seen = append(p.Seen, seen.Number())
		}
		requireMessage(&problems, v.Get("name"), p.Label)
		if taken[p.Name] {
			problems.Add(v.Get("name").Position(), fmt.Sprintf("a parameter is already called %q", p.Name), "a name of its own", "")
		}
		taken[p.Name] = true
		if _, known := c.Source(p.Source); !known {
			problems.Add(v.Get("source").Position(), fmt.Sprintf("no source is called %q", p.Source), "an id from sources.yaml", "add the source there")
		}
		if p.Value < p.Least || p.Value > p.Most {
			problems.Add(v.Get("value").Position(), fmt.Sprintf("%s lies outside its own range", p.Name), "least <= value <= most", "")
		}
		c.parameters = append(c.parameters, p)
	}
	if err := problems.Err(); err != nil {
		return nil, fmt.Errorf("atlas data: %w", err)
	}
	return &c, nil
}

// Parameters lists every parameter in the order of the data file.
func (c *Catalogue) Parameters() []Parameter { return append([]Parameter(nil), c.parameters...) }

// Sources lists the bibliography of the atlas itself in the order of the data file; Bibliography lists all.
func (c *Catalogue) Sources() []Source { return append([]Source(nil), c.sources...) }

// Bibliography lists every source: the atlas's own, those only malformed hearts rest on, and those of sizes by body,
// each once.
func (c *Catalogue) Bibliography() ([]Source, error) {
	_, variants, err := LoadVariants()
	if err != nil {
		return nil, err
	}
	all := append(c.Sources(), variants...)
	for _, s := range c.growth.Sources() {
		if !slices.ContainsFunc(all, func(known Source) bool { return known.ID == s.ID }) {
			all = append(all, Source{ID: s.ID, Read: s.Read, Cite: s.Cite, DOI: s.DOI, About: s.About})
		}
	}
	return all, nil
}

// Source finds a source by its id.
func (c *Catalogue) Source(id string) (Source, bool) {
	for _, s := range c.sources {
		if s.ID == id {
			return s, true
		}
	}
	return Source{}, false
}

var sourcesShape = strictyaml.Object{Fields: []strictyaml.Field{
	{Name: "sources", Required: true, Shape: strictyaml.List{Min: 1, Of: strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "id", Required: true, Shape: strictyaml.Text{Min: 1, Max: 60}},
		{Name: "read", Required: true, Shape: strictyaml.Choice{Words: []string{"abstract", "secondary", "memory", "none"}}},
		{Name: "cite", Required: true, Shape: strictyaml.Text{Min: 1, Max: 300}},
		{Name: "doi", Shape: strictyaml.Text{Min: 1, Max: 100}},
		{Name: "about", Required: true, Shape: strictyaml.Text{Min: 1, Max: 300}},
	}}}},
}}

// share is a correlation: from −1 to 1.
var share = strictyaml.Number{Within: strictyaml.Between(-1, 1)}

var withShape = strictyaml.Map{Noun: "factor", Entries: []strictyaml.Field{
	{Name: "size", Shape: share}, {Name: "roundness", Shape: share}, {Name: "commissure", Shape: share}, {Name: "triangle", Shape: share},
	{Name: "ostium", Shape: share}, {Name: "node", Shape: share}, {Name: "coronary", Shape: share},
}}

var parametersShape = strictyaml.Object{Fields: []strictyaml.Field{
	{Name: "factors", Required: true, Shape: strictyaml.List{Min: 1, Of: strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "name", Required: true, Shape: strictyaml.Text{Min: 1, Max: 40}},
		{Name: "about", Required: true, Shape: strictyaml.Text{Min: 1, Max: 160}},
		{Name: "aspect", Shape: strictyaml.Number{}},
	}}}},
	{Name: "parameters", Required: true, Shape: strictyaml.List{Min: 1, Of: strictyaml.Object{Fields: []strictyaml.Field{
		{Name: "name", Required: true, Shape: strictyaml.Text{Min: 1, Max: 60}},
		{Name: "unit", Required: true, Shape: strictyaml.Choice{Words: []string{"mm", "mm2", "deg", "%"}}},
		{Name: "value", Required: true, Shape: strictyaml.Number{}},
		{Name: "spread", Required: true, Shape: strictyaml.Number{Within: strictyaml.AtLeast(0)}},
		{Name: "seen", Shape: strictyaml.List{Min: 2, Max: 2, Of: strictyaml.Number{}}},
		{Name: "least", Required: true, Shape: strictyaml.Number{}},
		{Name: "most", Required: true, Shape: strictyaml.Number{}},
		{Name: "grade", Required: true, Shape: strictyaml.Choice{Words: []string{"abstract", "secondary", "derived", "memory", "assumption"}}},
		{Name: "source", Required: true, Shape: strictyaml.Text{Min: 1, Max: 60}},
		{Name: "with", Shape: withShape},
		{Name: "fixed", Shape: strictyaml.Bool{}},
		{Name: "note", Shape: strictyaml.Text{Min: 1, Max: 300}},
	}}}},
}}
