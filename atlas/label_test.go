package atlas

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"gopkg.in/yaml.v3"

	"fairlead/atlas/words"
)

// labelsOf is all that is called by a message in a variant's file, the variant first.
func labelsOf(x *Variant) []words.Said {
	labels := []words.Said{x.Label}
	for _, l := range x.landmarks {
		labels = append(labels, l.label)
	}
	for _, s := range x.structures {
		labels = append(labels, s.label)
	}
	for _, z := range x.zones {
		labels = append(labels, z.label)
	}
	return labels
}

// languages are all there are.
func languages(t *testing.T) (all []*words.Language) {
	t.Helper()
	for _, tag := range words.Tags() {
		l, err := words.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
	return all
}

// What the atlas names is said in every language: of malformed hearts, of the usual one, and what its figures are of.
func TestLabelsAreSaidInEveryLanguage(t *testing.T) {
	var labels []words.Said
	for _, x := range variants(t) {
		labels = append(labels, labelsOf(x)...)
	}
	h := build(t)
	for _, l := range h.Landmarks {
		labels = append(labels, l.Label)
	}
	for _, s := range h.Structures {
		labels = append(labels, s.Label)
	}
	for _, z := range h.Zones {
		labels = append(labels, z.Label)
	}
	for _, p := range load(t).Parameters() {
		labels = append(labels, p.Label)
	}
	for _, language := range languages(t) {
		for _, label := range labels {
			if said := language.Say(label); said == "" || strings.ContainsAny(said, "⟦|{") {
				t.Errorf("%s says %q for %s", language.Tag(), said, label.ID())
			}
		}
	}
}

// A malformed heart has what its variant's file names under the variant's own messages, and the rest under those of the
// usual heart.
func TestVariantsCallTheirOwn(t *testing.T) {
	h := shape(t, variant(t, "straddling-valve"), Patient{})
	for _, c := range []struct {
		label    words.Said
		id, said string
	}{
		{variant(t, "straddling-valve").Label, "variant.straddling-valve.label", "straddling right atrioventricular valve"},
		{landmark(t, h, "node").Label, "variant.straddling-valve.landmark.node", "centre of the connecting node"},
		{structure(t, h, "bundle").Label, "variant.straddling-valve.structure.bundle", "bundle, on the crest of the malaligned septum"},
		{zone(t, h, ApicalHalf).Label, "variant.straddling-valve.zone.apical-half", "connecting node, where the malaligned septum meets the junction"},
		{structure(t, h, "nodal-artery").Label, "structure.nodal-artery", "artery of the node"}, // in the file, called as usual
		{zone(t, h, Fossa).Label, "zone.oval-fossa", "oval fossa"},                              // not in the file
	} {
		if c.label.ID() != c.id || c.label.String() != c.said {
			t.Errorf("%s says %q, want %s: %q", c.label.ID(), c.label, c.id, c.said)
		}
	}
	if gist := words.English().Gist(zone(t, h, ApicalHalf).Label); gist != "connecting node" {
		t.Errorf("where there is little room it is %q", gist)
	}
}

// English has no message for what no variant and no parameter has, and none that only says again what the usual heart's
// says.
func TestNoMessageIsLeftOver(t *testing.T) {
	data, err := os.ReadFile("words/languages/en.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Messages struct {
			Variant   map[string]map[string]any
			Parameter map[string]string
		}
	}
	if err := yaml.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, x := range variants(t) {
		for _, label := range labelsOf(x) {
			used[label.ID()] = true
		}
	}
	for _, p := range load(t).Parameters() {
		used[p.Label.ID()] = true
	}
	check := func(id string) {
		if !used[id] {
			t.Errorf("nothing is called by %s", id)
		}
	}
	for name := range file.Messages.Parameter {
		check("parameter." + name)
	}
	for x, kinds := range file.Messages.Variant {
		check("variant." + x + ".label")
		for kind, things := range kinds {
			if kind == "label" {
				continue
			}
			for id := range things.(map[string]any) {
				own := words.Of(fmt.Sprintf("variant.%s.%s.%s", x, kind, id))
				check(own.ID())
				if usual := usualLabel(kind, id); words.English().Has(usual.ID()) && own.String() == usual.String() {
					t.Errorf("%s says what %s says", own.ID(), usual.ID())
				}
			}
		}
	}
}

// What nobody can say the name of is told with its place and the message that is wanted, all at once.
func TestNamelessDataAreRefused(t *testing.T) {
	text := `id: horned
summary: s
known: topology
sources: [model]
landmarks:
  - { id: horn, at: { from: node }, grade: assumption, source: model }
  - { id: node, at: { from: node }, grade: assumption, source: model }
structures:
  - id: spur
    kind: conduction
    tube: { calibre: 1 mm, through: [{ from: node }, { from: node, off: 3 mm }] }
    spread: 2 mm
    share: 100 %
    grade: assumption
    sources: [model]
zones:
  - { id: horn, outline: [{ from: node }, { from: mid-septal }, { from: triangle-apex }], grade: assumption, sources: [model] }
`
	_, _, err := readVariants(fstest.MapFS{"data/variants/horned.yaml": {Data: []byte(text)}}, load(t))
	if err == nil {
		t.Fatal("read without a word")
	}
	lines := strings.Split(err.Error(), "\n")
	for i, want := range []string{
		`horned.yaml:1:5: nothing says what "horned" is called; expected the message variant.horned.label`,
		`horned.yaml:6:11: nothing says what "horn" is called; expected the message variant.horned.landmark.horn`,
		`horned.yaml:9:9: nothing says what "spur" is called; expected the message variant.horned.structure.spur`,
		`horned.yaml:17:11: nothing says what "horn" is called; expected the message variant.horned.zone.horn`,
	} {
		if i >= len(lines) || !strings.Contains(lines[i], want) || !strings.Contains(lines[i], "atlas/words/languages") {
			t.Errorf("line %d of\n%v\nlacks %s", i+1, err, want)
		}
	}
	if len(lines) != 4 {
		t.Errorf("%d reasons: %v", len(lines), err)
	}

	before, after, _ := strings.Cut(string(parametersYAML), "name: rim-length,")
	_, err = readCatalogue([]byte(before+"name: rim-lenght,"+after), sourcesYAML)
	if err == nil {
		t.Fatal("a parameter without a name is read")
	}
	says(t, err.Error(), fmt.Sprintf("parameters.yaml:%d:13: ", strings.Count(before, "\n")+1), "the message parameter.rim-lenght")
}
