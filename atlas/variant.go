package atlas

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

//go:embed data/variants/*.yaml
var variantFiles embed.FS

// Variant is a malformed heart: how it differs from the usual one, above all where its conduction axis runs. It is
// laid onto a heart already built, and says places relative to that heart, so that it fits every size.
type Variant struct {
	ID           string
	Label        words.Said
	Summary      string // one or two sentences
	TopologyOnly bool   // what is published tells beside what the axis runs, and gives no millimetres
	Refused      string // why there can be no heart of this kind here; empty for all others
	Sources      []string
	Published    []Finding
	Digest       string // tells one state of its file from another

	parameters []ParameterChange
	without    variantWithout
	landmarks  []variantLandmark
	structures []variantStructure
	zones      []variantZone
}

// Finding is what was published of a variant, said in words.
type Finding struct {
	Says   string
	Grade  Grade
	Source string
}

// ParameterChange is one parameter of the usual heart as a variant has it: a value of its own, or the usual one by a
// factor.
type ParameterChange struct {
	Name   string
	Value  float64 // in the parameter's unit; 0 where Factor is given
	Spread float64 // one standard deviation that goes with Value
	Factor float64 // 0 where Value is given
	Grade  Grade
	Source string
	Note   string
}

// Parameters lists the parameters that the variant changes.
func (x *Variant) Parameters() []ParameterChange {
	return append([]ParameterChange(nil), x.parameters...)
}

// variantWithout names what a variant does not have of the usual heart.
type variantWithout struct{ structures, zones, landmarks []string }

type variantLandmark struct {
	id      string
	label   words.Said
	at      place
	onHinge bool
	grade   Grade
	source  string
}

type variantStructure struct {
	at       strictyaml.Position
	id       string
	label    words.Said
	kind     Kind
	centre   place   // of a node
	toward   place   // where the long axis of a node points
	through  []place // of a tube; none for a node
	calibre  sizeSaid
	spreadMM float64
	share    float64
	grade    Grade
	sources  []string
}

type variantZone struct {
	at        strictyaml.Position
	id        ZoneID
	label     words.Said
	outline   []place // none for an ellipse
	centre    place
	along, up sizeSaid // diameters of an ellipse, on the tissue
	grade     Grade
	sources   []string
}

// place is a spot said relative to a heart. What it does not say is as it is at from.
type place struct {
	at        strictyaml.Position
	from, to  string
	turn      float64 // 1 clockwise, −1 anticlockwise, 0 not along the rim
	by        float64 // mm on the usual rim
	share     float64 // of a segment, or of the way to another landmark
	segment   string
	off, deep *sizeSaid
}

// sizeSaid is a length: mm on the usual rim, or a parameter by name.
type sizeSaid struct {
	mm   float64
	name string
}

const variantSourcesFile = "sources.yaml"

// LoadVariants reads the embedded variants, in the order of their ids, and the sources that only they rest on.
func LoadVariants() ([]Variant, []Source, error) {
	known, err := readCatalogue(parametersYAML, sourcesYAML)
	if err != nil {
		return nil, nil, err
	}
	return readVariants(variantFiles, known)
}

// readVariants reads every file of data/variants. known is the catalogue whose parameters and sources they may name.
func readVariants(files fs.FS, known *Catalogue) ([]Variant, []Source, error) {
	names, err := fs.Glob(files, "data/variants/*.yaml")
	if err != nil {
		return nil, nil, fmt.Errorf("atlas data: %w", err)
	}
	r := &variantReader{sources: map[string]bool{}, parameters: map[string]Parameter{}}
	r.know(known)
	var own []Source
	var variants []Variant
	// Glob gives the names in order. Sources come first, for the variants to be held against.
	for _, wanted := range []bool{true, false} {
		for _, name := range names {
			if (path.Base(name) == variantSourcesFile) != wanted {
				continue
			}
			data, err := fs.ReadFile(files, name)
			switch {
			case err != nil:
				return nil, nil, fmt.Errorf("atlas data: %w", err)
			case wanted:
				own = r.readSources(data)
			default:
				variants = append(variants, r.read(path.Base(name), data))
			}
		}
	}
	if err := r.problems.Sorted().Err(); err != nil {
		return nil, nil, fmt.Errorf("atlas data: %w", err)
	}
	return variants, own, nil
}

type variantReader struct {
	sources    map[string]bool
	parameters map[string]Parameter
	problems   strictyaml.Problems
}

func (r *variantReader) know(c *Catalogue) {
	for _, s := range c.sources {
		r.sources[s.ID] = true
	}
	for _, p := range c.parameters {
		r.parameters[p.Name] = p
	}
}

func (r *variantReader) readSources(data []byte) (own []Source) {
	tree, problems := strictyaml.Parse(variantSourcesFile, data, sourcesShape)
	r.problems = append(r.problems, problems...)
	for _, v := range tree.Get("sources").Items() {
		s := Source{ID: v.Get("id").Text(), Read: v.Get("read").Text(), Cite: v.Get("cite").Text(), DOI: v.Get("doi").Text(), About: v.Get("about").Text()}
		if r.sources[s.ID] {
			r.problems.Add(v.Get("id").Position(), fmt.Sprintf("a source is already called %q", s.ID), "an id of its own", "")
		}
		r.sources[s.ID] = true
		own = append(own, s)
	}
	return own
}

func (r *variantReader) read(file string, data []byte) Variant {
	v, problems := strictyaml.Parse(file, data, variantShape)
	r.problems = append(r.problems, problems...)
	x := Variant{
		ID: v.Get("id").Text(), Label: r.nameOf(v.Get("id")), Summary: v.Get("summary").Text(),
		TopologyOnly: v.Get("known").Text() == "topology", Refused: v.Get("refused").Text(),
		Sources: r.sourceList(v.Get("sources")), Digest: Digest(data),
	}
	if want := strings.TrimSuffix(file, ".yaml"); v.Has("id") && x.ID != want {
		r.problems.Add(v.Get("id").Position(), fmt.Sprintf("the id %q is not the file's name", x.ID), want, "rename one of them")
	}
	r.refusal(v)
	for _, f := range v.Get("published").Items() {
		x.Published = append(x.Published, Finding{f.Get("says").Text(), Grade(f.Get("grade").Text()), r.source(f.Get("source"))})
	}
	for _, p := range v.Get("parameters").Items() {
		x.parameters = append(x.parameters, r.change(p))
	}
	without := v.Get("without")
	x.without = variantWithout{texts(without.Get("structures")), texts(without.Get("zones")), texts(without.Get("landmarks"))}
	r.once(v.Get("parameters"), "name")
	for _, list := range []string{"landmarks", "structures", "zones"} {
		r.once(v.Get(list), "id")
	}
	r.parts(v, &x)
	return x
}

// refusal makes sure that a heart that is refused is not described as well, and that any other says how well it is
// known.
func (r *variantReader) refusal(v strictyaml.Value) {
	if !v.Has("refused") {
		if v.Present() && !v.Has("known") {
			r.problems.Add(v.Position(), "the key known is missing", "known with topology or figures", "say how well the variant is known, or why it is refused")
		}
		return
	}
	for _, key := range []string{"known", "parameters", "without", "landmarks", "structures", "zones"} {
		if v.Has(key) {
			r.problems.Add(v.Get(key).Position(), fmt.Sprintf("%s describes a heart that is refused", key), "the reason alone", "remove "+key+" or refused")
		}
	}
}

func (r *variantReader) change(v strictyaml.Value) ParameterChange {
	c := ParameterChange{
		Name: v.Get("name").Text(), Value: v.Get("value").Number(), Spread: v.Get("spread").Number(), Factor: v.Get("factor").Number(),
		Grade: Grade(v.Get("grade").Text()), Source: r.source(v.Get("source")), Note: v.Get("note").Text(),
	}
	p, known := r.parameters[c.Name]
	switch {
	case !v.Has("name"): // a problem of its own
	case !known:
		r.problems.Add(v.Get("name").Position(), fmt.Sprintf("no parameter is called %q", c.Name), "a name from parameters.yaml", "")
	default:
		if changed := c.Apply(p); (v.Has("value") || v.Has("factor")) && !(changed.Value >= p.Least && changed.Value <= p.Most) {
			r.problems.Add(v.Position(), fmt.Sprintf("%s would be %s", c.Name, quantity(changed.Value, p.Unit)), quantity(p.Least, p.Unit)+" to "+quantity(p.Most, p.Unit), "")
		}
	}
	return c
}

// once makes sure that no two items of a list are called the same.
func (r *variantReader) once(list strictyaml.Value, key string) {
	taken := map[string]bool{}
	for _, v := range list.Items() {
		name := v.Get(key)
		if name.Present() && taken[name.Text()] {
			r.problems.Add(name.Position(), fmt.Sprintf("%q is here twice", name.Text()), "each once", "remove or rename one")
		}
		taken[name.Text()] = true
	}
}

func (r *variantReader) parts(v strictyaml.Value, x *Variant) {
	for _, l := range v.Get("landmarks").Items() {
		x.landmarks = append(x.landmarks, variantLandmark{
			id: l.Get("id").Text(), label: r.called(x.ID, "landmark", l.Get("id")), at: r.place(l.Get("at")), onHinge: l.Get("on-hinge").Bool(),
			grade: Grade(l.Get("grade").Text()), source: r.source(l.Get("source")),
		})
	}
	for _, s := range v.Get("structures").Items() {
		node, tube := s.Get("node"), s.Get("tube")
		x.structures = append(x.structures, variantStructure{
			at: s.Position(), id: s.Get("id").Text(), label: r.called(x.ID, "structure", s.Get("id")), kind: Kind(s.Get("kind").Text()),
			centre: r.place(node.Get("at")), toward: r.place(node.Get("toward")),
			through: r.places(tube.Get("through")), calibre: readSize(tube.Get("calibre")),
			spreadMM: s.Get("spread").Number(), share: s.Get("share").Number(),
			grade: Grade(s.Get("grade").Text()), sources: r.sourceList(s.Get("sources")),
		})
	}
	for _, z := range v.Get("zones").Items() {
		ellipse := z.Get("ellipse")
		x.zones = append(x.zones, variantZone{
			at: z.Position(), id: ZoneID(z.Get("id").Text()), label: r.called(x.ID, "zone", z.Get("id")),
			outline: r.places(z.Get("outline")), centre: r.place(ellipse.Get("centre")),
			along: readSize(ellipse.Get("along")), up: readSize(ellipse.Get("up")),
			grade: Grade(z.Get("grade").Text()), sources: r.sourceList(z.Get("sources")),
		})
	}
}

func (r *variantReader) places(list strictyaml.Value) (found []place) {
	for _, v := range list.Items() {
		found = append(found, r.place(v))
	}
	return found
}

func (r *variantReader) place(v strictyaml.Value) place {
	p := place{
		at: v.Position(), from: v.Get("from").Text(), to: v.Get("to").Text(),
		by: v.Get("by").Number(), share: v.Get("share").Number() / 100, segment: "septal",
	}
	switch v.Get("toward").Text() {
	case "clockwise":
		p.turn = 1
	case "anticlockwise":
		p.turn = -1
	}
	if v.Has("of") {
		p.segment = v.Get("of").Text()
	}
	p.off, p.deep = optional(v.Get("off")), optional(v.Get("deep"))
	r.oneWay(v)
	return p
}

// oneWay makes sure that a place is said by one way from its landmark: along the rim, or straight to another, and by
// so much.
func (r *variantReader) oneWay(v strictyaml.Value) {
	moves := v.Has("toward") || v.Has("to")
	switch measured := v.Has("by") || v.Has("share"); {
	case v.Has("toward") && v.Has("to"):
		r.problems.Add(v.Get("to").Position(), "toward and to exclude each other", "a way along the rim or to another landmark", "keep the one that is meant")
	case v.Has("by") && v.Has("share"):
		r.problems.Add(v.Get("share").Position(), "by and share exclude each other", "one of them", "keep the one that is meant")
	case moves && !measured:
		r.problems.Add(v.Position(), "how far is missing", "by or share", "add the one that is meant")
	case measured && !moves:
		r.problems.Add(v.Position(), "whereto is missing", "toward or to", "add the one that is meant")
	case v.Has("of") && !(v.Has("toward") && v.Has("share")):
		r.problems.Add(v.Get("of").Position(), "of tells of which segment a share along the rim is", "toward and share beside it", "remove it")
	}
}

func optional(v strictyaml.Value) *sizeSaid {
	if !v.Present() {
		return nil
	}
	e := readSize(v)
	return &e
}

// readSize reads a quantity or the word that stands in its place. A word has no digit in front.
func readSize(v strictyaml.Value) sizeSaid {
	if text := v.Text(); text != "" && text[0] >= 'a' && text[0] <= 'z' {
		return sizeSaid{name: text}
	}
	return sizeSaid{mm: v.Number()}
}

func texts(list strictyaml.Value) (found []string) {
	for _, v := range list.Items() {
		found = append(found, v.Text())
	}
	return found
}

func (r *variantReader) source(v strictyaml.Value) string {
	if v.Present() && !r.sources[v.Text()] {
		r.problems.Add(v.Position(), fmt.Sprintf("no source is called %q", v.Text()), "an id from sources.yaml", "add the source there")
	}
	return v.Text()
}

func (r *variantReader) sourceList(list strictyaml.Value) (found []string) {
	for _, v := range list.Items() {
		found = append(found, r.source(v))
	}
	return found
}
