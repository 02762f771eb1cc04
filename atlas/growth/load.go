package growth

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"math"

	"fairlead/atlas/strictyaml"
)

//go:embed data/*.yaml
var embedded embed.FS

// Tables holds every figure of the package. It does not change once loaded and may be shared between goroutines.
type Tables struct {
	digest    string
	sources   []Source
	formulas  []Formula
	datasets  []Dataset
	limits    []Limit
	methods   []Method
	reference string
	units     map[string]string // of the quantities that methods convert
	never     map[string]string // why a quantity is never converted
	patterns  []Pattern
	series    Series
}

// Source is what a figure rests on.
type Source struct {
	ID   string
	Read string // how much of it was read: abstract, secondary, memory or none
	Cite string
	DOI  string // empty where it is not known
	// About says in a line what it reports.
	About string
}

// Evidence is how well a figure is known.
type Evidence struct {
	Grade  string // abstract, secondary, derived, memory, assumption or practice
	Source Source
	Note   string
}

// Range is a range of numbers, both ends included. An open end is infinite.
type Range struct{ Low, High float64 }

// Contains tells whether a number is finite and within the range.
func (r Range) Contains(x float64) bool { return x >= r.Low && x <= r.High && !math.IsInf(x, 0) }

func (r Range) text(unit string) string {
	if math.IsInf(r.High, 1) {
		return withUnit(r.Low, unit) + " and more"
	}
	return fmt.Sprintf("%.4g to %s", r.Low, withUnit(r.High, unit))
}

// Load reads the embedded figures. It fails only if they contradict themselves.
func Load() (*Tables, error) { return readTables(embedded) }

// Digest tells one state of the figures from another.
func (t *Tables) Digest() string { return t.digest }

// Sources lists what the figures rest on.
func (t *Tables) Sources() []Source { return append([]Source(nil), t.sources...) }

// reader reads the files one after another and collects what is wrong with them.
type reader struct {
	files    fs.FS
	sources  map[string]Source
	problems strictyaml.Problems
	hash     []byte
}

func readTables(files fs.FS) (*Tables, error) {
	r := reader{files: files, sources: map[string]Source{}}
	var t Tables
	t.sources = r.readSources()
	t.formulas = r.readFormulas()
	t.datasets = r.readDatasets(t.formulas)
	t.limits = r.readLimits()
	r.readMethods(&t)
	r.readPatterns(&t)
	if err := r.problems.Err(); err != nil {
		return nil, fmt.Errorf("growth data: %w", err)
	}
	t.digest = hex.EncodeToString(r.hash[:6])
	return &t, nil
}

func (r *reader) parse(name string, shape strictyaml.Shape) strictyaml.Value {
	data, err := fs.ReadFile(r.files, "data/"+name)
	if err != nil {
		r.problems.Add(strictyaml.Position{File: name}, "the file cannot be read: "+err.Error(), "a file of figures", "")
		return strictyaml.Value{}
	}
	sum := sha256.Sum256(append(r.hash, data...))
	r.hash = sum[:]
	tree, problems := strictyaml.Parse(name, data, shape)
	r.problems = append(r.problems, problems...)
	return tree
}

func (r *reader) readSources() []Source {
	var all []Source
	once := r.once("source")
	for _, v := range r.parse("sources.yaml", sourcesShape).Get("sources").Items() {
		s := Source{
			ID: once(v.Get("id")), Read: v.Get("read").Text(), Cite: v.Get("cite").Text(),
			DOI: v.Get("doi").Text(), About: v.Get("about").Text(),
		}
		r.sources[s.ID] = s
		all = append(all, s)
	}
	return all
}

// once gives a reader of names that notes a name used twice.
func (r *reader) once(kind string) func(strictyaml.Value) string {
	seen := map[string]bool{}
	return func(v strictyaml.Value) string {
		name := v.Text()
		if seen[name] {
			r.problems.Add(v.Position(), fmt.Sprintf("a second %s is called %q", kind, name), "each name once", "")
		}
		seen[name] = true
		return name
	}
}

// readFor holds, for each grade, how much of a source must have been read to deserve it.
var readFor = map[string][]string{
	"abstract":   {"abstract"},
	"secondary":  {"abstract", "secondary"},
	"derived":    {"abstract", "secondary"},
	"memory":     {"abstract", "secondary", "memory"},
	"assumption": {"abstract", "secondary", "memory", "none"},
	"practice":   {"none"},
}

// evidence reads grade, source and note, and refuses a grade the source does not bear out.
func (r *reader) evidence(v strictyaml.Value) Evidence {
	e := Evidence{Grade: v.Get("grade").Text(), Note: v.Get("note").Text()}
	id := v.Get("source")
	source, known := r.sources[id.Text()]
	if !known {
		r.problems.Add(id.Position(), fmt.Sprintf("no source is called %q", id.Text()), "an id from sources.yaml", "add the source there")
		return e
	}
	e.Source = source
	r.checkGrade(v.Get("grade"), source)
	return e
}

func (r *reader) checkGrade(grade strictyaml.Value, source Source) {
	for _, read := range readFor[grade.Text()] {
		if read == source.Read {
			return
		}
	}
	what := fmt.Sprintf("graded %q, but %s was read as %q", grade.Text(), source.ID, source.Read)
	r.problems.Add(grade.Position(), what, "a grade the source bears out", "grade it lower or name another source")
}

// find looks a name up in a list.
func find[T any](kind, name string, all []T, nameOf func(T) string) (T, error) {
	known := make([]string, 0, len(all))
	for _, one := range all {
		if nameOf(one) == name {
			return one, nil
		}
		known = append(known, nameOf(one))
	}
	var none T
	return none, &UnknownError{Kind: kind, Name: name, Known: known}
}
