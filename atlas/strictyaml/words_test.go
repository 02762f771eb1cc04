package strictyaml

import (
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestEditDistance(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     int
	}{{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"abc", "abc", 0}, {"form", "from", 1}, {"ab", "ba", 1}, {"kitten", "sitting", 3}, {"größe", "grosse", 3}, {"abcd", "badc", 2}} {
		if got := editDistance(c.from, c.to); got != c.want {
			t.Errorf("%q to %q: got %d, want %d", c.from, c.to, got, c.want)
		}
	}
}

// randomText draws from letters few enough for words to meet often.
func randomText(r *rand.Rand, letters string, most int) string {
	all := []rune(letters)
	var b strings.Builder
	for range r.IntN(most + 1) {
		b.WriteRune(all[r.IntN(len(all))])
	}
	return b.String()
}

func TestEditDistanceIsSymmetricAndBounded(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		a, b := randomText(r, "abé", 7), randomText(r, "abé", 7)
		d := editDistance(a, b)
		la, lb := utf8.RuneCountInString(a), utf8.RuneCountInString(b)
		if d != editDistance(b, a) || (d == 0) != (a == b) || d > max(la, lb) || d < max(la-lb, lb-la) {
			t.Fatalf("%q to %q: %d, back %d", a, b, d, editDistance(b, a))
		}
	}
}

// The reader does not use the pattern it gives to the schema, so the two are
// held against each other.
func TestQuantityMatchesItsPattern(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, q := range []Quantity{{Unit: "mm"}, {Unit: "mm", Within: AtLeast(0)}, {Unit: "%"}, {Unit: "mm2"}} {
		pattern, accepted := regexp.MustCompile(q.pattern()), 0
		for range 60000 {
			text := randomText(r, "+-012. m", 5) + q.Unit
			_, formed := q.number(text)
			if formed != pattern.MatchString(text) {
				t.Fatalf("%q: reader %v, pattern %v", text, formed, !formed)
			}
			if formed {
				accepted++
			}
		}
		if accepted < 100 {
			t.Errorf("%s: only %d of the texts were quantities", q.Unit, accepted)
		}
	}
}

func TestQuantityReadsWhatIsWritten(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	shape := Object{Fields: []Field{{Name: "x", Shape: Quantity{Unit: "mm"}}}}
	for range 500 {
		want := (r.Float64() - 0.5) * 1000
		v, problems := Parse("f", []byte("x: "+strconv.FormatFloat(want, 'f', -1, 64)+" mm"), shape)
		if problems != nil || v.Get("x").Number() != want {
			t.Fatalf("got %v, want %v: %v", v.Get("x").Number(), want, problems)
		}
	}
}

func TestProblemsAreSortedByPlace(t *testing.T) {
	var ps Problems
	ps.Add(Position{"b", 1, 1}, "five", "", "")
	ps.Add(Position{"a", 10, 1}, "four", "", "")
	ps.Add(Position{"a", 2, 9}, "three", "", "mend")
	ps.Add(Position{"a", 2, 3}, "one", "this", "that")
	ps.Add(Position{"a", 2, 3}, "two", "", "")
	want := "a:2:3: one; expected this; that\na:2:3: two\na:2:9: three; mend\na:10:1: four\nb:1:1: five"
	if got := ps.Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if Problems(nil).Err() != nil || ps.Err() == nil {
		t.Error("Err does not tell problems from none")
	}
}

func TestLongTextIsShortened(t *testing.T) {
	long := strings.Repeat("é", 100000)
	_, problems := Parse("f", []byte("colour: "+long), menu)
	if got := problems.Error(); len(got) > 400 || !strings.Contains(got, "é…") {
		t.Errorf("the message is %d bytes long: %.200s", len(got), got)
	}
}
