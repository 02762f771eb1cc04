package atlas

import (
	"strings"
	"testing"

	"fairlead/atlas/words"
)

// Every dataset and every pattern has its name in every language: in English a dataset's own.
func TestDatasetsAndPatternsAreSaid(t *testing.T) {
	c, err := LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, d := range c.Growth().Datasets() {
		ids = append(ids, "dataset."+d.ID)
		if got := words.Of("dataset." + d.ID).String(); got != d.Label {
			t.Errorf("%s is called %q, its own label is %q", d.ID, got, d.Label)
		}
	}
	for _, p := range c.Growth().Patterns() {
		ids = append(ids, "pattern."+p.Name)
	}
	ids = append(ids, "pattern."+Free)
	for _, tag := range words.Tags() {
		language, err := words.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		for _, id := range ids {
			if !language.Has(id) {
				t.Errorf("%s lacks %s", tag, id)
			}
		}
	}
}

// What no dataset has is scored by the atlas's own expectation, and says so.
func TestScoreSaysByWhat(t *testing.T) {
	c, err := LoadCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	h, err := c.Fit(Patient{Body: Body{SurfaceM2: 1.8}})
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct{ size, by string }{{"rim-area", "healthy adults, 3-D echo"}, {"septal-segment", "this atlas"}} {
		score, scored := c.Score(h, here(t, h, k.size))
		if !scored || score.By.String() != k.by {
			t.Errorf("%s scored by %q, want %q", k.size, score.By, k.by)
		}
	}
}

// A leaflet parted in two, and one part again, still say whose parts they are.
func TestPartedLeafletsAreSaid(t *testing.T) {
	first, second := Leaflet{Name: "septal", FromMM: 70, ForMM: 30}.Parted(10)
	if first != (Leaflet{"first septal", 70, 10}) || second != (Leaflet{"second septal", 80, 20}) {
		t.Fatalf("parted into %+v and %+v", first, second)
	}
	_, last := second.Parted(5)
	for _, tag := range words.Tags() {
		language, err := words.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		whole := language.Say(Leaflet{Name: "septal"}.Short())
		for _, l := range []Leaflet{first, second, last} {
			if short := language.Say(l.Short()); !strings.Contains(short, whole) || short == whole || strings.Contains(short+language.Say(l.Said()), "⟦") {
				t.Errorf("%s: %s is called %q, %q", tag, l.Name, short, language.Say(l.Said()))
			}
		}
	}
	if got := last.Said().String(); got != "second second septal leaflet" {
		t.Errorf("got %q", got)
	}
}
