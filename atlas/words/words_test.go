package words

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

// small is a language of its own, with the plural categories of Polish: one, few, many, other.
func small(t *testing.T, messages string) *Language {
	t.Helper()
	l, err := read("small.yaml", []byte("language: pl\nname: mały\ndecimal: \",\"\nmessages:\n"+messages))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestSaying(t *testing.T) {
	l := small(t, `
  near: "{what}: {mm} mm|; keep {keep} mm"
  both: "{a} and {b}"
  node: węzeł
  stitches: { one: "{n} ścieg", few: "{n} ściegi", many: "{n} ściegów", other: "{n} ściegu" }
  plain: "{n} w {what}"
`)
	near := Of("near", Blanks{"what": Of("node"), "mm": Number("-1.25"), "keep": Fixed(2, 1)})
	for _, c := range []struct{ got, want string }{
		{l.Say(near), "węzeł: -1,25 mm; keep 2,0 mm"},
		{l.Gist(near), "węzeł: -1,25 mm"},
		{l.Gist(Of("both", Blanks{"a": near, "b": "B 1.5"})), "węzeł: -1,25 mm and B 1.5"}, // of what stands in it too
		{l.Say(Of("both", Blanks{"a": near, "b": "B 1.5"})), "węzeł: -1,25 mm; keep 2,0 mm and B 1.5"},
		{l.Say(Of("stitches", Blanks{"n": 1})), "1 ścieg"},
		{l.Say(Of("stitches", Blanks{"n": 3})), "3 ściegi"},
		{l.Say(Of("stitches", Blanks{"n": 5})), "5 ściegów"},
		{l.Say(Of("plain", Blanks{"n": 1, "what": Said{}})), "1 w "},
		{l.Say(Text("{own} words|")), "{own} words|"},
		{l.Say(Said{}), ""},
		{l.Say(Of("no.such")), "⟦no.such⟧"},
		{l.Say(Of("both", Blanks{"a": 1.5, "b": "x"})), "⟦both{a}⟧ and x"},
		{string(Fixed(-0.04, 1)), "0.0"}, {string(Fixed(-0.06, 1)), "-0.1"}, {string(Short(12.50, 3)), "12.5"},
		{And(Text("a"), Text("b"), Text("c")).String(), "a, b and c"}, {And().String(), ""}, {And(Text("a")).String(), "a"},
		{Semicolons(Text("a"), Text("b"), Text("c")).String(), "a; b; c"}, {Commas(Text("a"), Text("b")).String(), "a, b"},
	} {
		if c.got != c.want {
			t.Errorf("said %q, want %q", c.got, c.want)
		}
	}
	if tag := (*Language)(nil).Tag(); tag != "en" {
		t.Errorf("without a language it is %q", tag)
	}
}

// Programs read English, whatever the language of the reader.
func TestSaidInJSON(t *testing.T) {
	got, err := json.Marshal(struct {
		A Said `json:"a"`
		B Said `json:"b,omitzero"`
	}{A: Of("level.avoid")})
	if err != nil || string(got) != `{"a":"avoid"}` {
		t.Errorf("got %s, %v", got, err)
	}
}

// What is wrong with the file of a language is told all at once, each with its place.
func TestUnsoundLanguages(t *testing.T) {
	for _, c := range []struct{ name, file, want string }{
		{"no YAML", "a: [", "small.yaml"},
		{"no head", "messages: { a: b }", "BCP 47"},
		{"no messages", "language: en\nname: E\ndecimal: .\n", "expected a name, a decimal sign and messages"},
		{"twice", "language: en\nname: E\ndecimal: .\nmessages:\n  a: x\n  a: y\n", "a stands here twice"},
		{"open blank", "language: en\nname: E\ndecimal: .\nmessages:\n  a: \"x {mm\"\n", "5:3: a: \"x {mm\" has a blank without a name"},
		{"blank of capitals", "language: en\nname: E\ndecimal: .\nmessages:\n  a: \"x {MM}\"\n", "without a name"},
		{"closed blank", "language: en\nname: E\ndecimal: .\nmessages:\n  a: \"x}\"\n", "closes a blank that is not open"},
		{"two bars", "language: en\nname: E\ndecimal: .\nmessages:\n  a: \"x|y|z\"\n", "two bars"},
		{"no other", "language: en\nname: E\ndecimal: .\nmessages:\n  a: { one: x }\n", "lacks the form `other`"},
		{"a list", "language: en\nname: E\ndecimal: .\nmessages:\n  a: [x]\n", "expected a text"},
		{"both at once", "language: en\nname: E\ndecimal: .\nmessages:\n  a: \"}\"\n  b: \"|x|\"\n", "6:3: b"},
	} {
		l, err := read("small.yaml", []byte(c.file))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %v; want %q", c.name, l, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("a: x {mm}|y\n")
	f.Add("a: { one: x, other: \"{n}\" }\n")
	f.Fuzz(func(t *testing.T, messages string) {
		l, err := read("fuzz.yaml", []byte("language: en\nname: E\ndecimal: .\nmessages:\n  "+messages))
		if err != nil {
			return
		}
		for id := range l.messages {
			l.Say(Of(id, Blanks{"n": 1, "mm": Number("1.0")}))
		}
	})
}

// Every language says all that English says, with the same blanks, and nothing else.
func TestLanguagesAreComplete(t *testing.T) {
	english := English()
	for _, tag := range Tags() {
		l, err := Load(tag)
		if err != nil {
			t.Error(err)
			continue
		}
		if l.Tag() != tag {
			t.Errorf("%s.yaml says it is %s", tag, l.Tag())
		}
		for _, id := range slices.Sorted(maps.Keys(english.messages)) {
			m, has := l.messages[id]
			if !has {
				t.Errorf("%s lacks %s", tag, id)
				continue
			}
			if got, want := m.blanks(), english.messages[id].blanks(); !slices.Equal(got, want) {
				t.Errorf("%s.yaml:%d: %s has the blanks %v, English %v", tag, m.line, id, got, want)
			}
		}
		for _, id := range slices.Sorted(maps.Keys(l.messages)) {
			if _, has := english.messages[id]; !has {
				t.Errorf("%s.yaml:%d: English has no %s", tag, l.messages[id].line, id)
			}
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, err := Load("de"); err != nil {
			b.Fatal(err)
		}
	}
}

func TestNoSuchLanguage(t *testing.T) {
	if _, err := Load("xx"); err == nil || !strings.Contains(err.Error(), "there is") {
		t.Errorf("got %v", err)
	}
}

// The same finding in two languages, whole and as its gist.
func ExampleLanguage_Say() {
	said := Of("bite.distance", Blanks{"mm": Fixed(2.13, 1), "what": Of("structure.aortic-root")})
	german, err := Load("de")
	if err != nil {
		panic(err)
	}
	fmt.Println(English().Say(said))
	fmt.Println(german.Say(said))
	fmt.Println(german.Gist(Of("care")))
	// Output:
	// 2.1 mm, aortic root
	// 2,1 mm, Aortenwurzel
	// Zum Üben, Lehren und Planen; kein Medizinprodukt.
}
