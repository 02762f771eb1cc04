package strictyaml

import (
	"strings"
	"testing"
)

// menu has one of every shape.
var menu = Object{
	Doc: "a test document",
	Fields: []Field{
		{Name: "length", Shape: Quantity{Unit: "mm", Within: Between(0, 15)}},
		{Name: "offset", Shape: Quantity{Unit: "mm", Within: Between(-15, 15)}},
		{Name: "angle", Shape: Quantity{Unit: "deg", Within: FromBelow(0, 360), Words: []string{"clockwise", "upward"}}},
		{Name: "depth", Shape: Quantity{Unit: "mm", Within: AboveUpTo(0, 15)}},
		{Name: "area", Shape: Quantity{Unit: "mm2", Within: AtLeast(0)}},
		{Name: "title", Shape: Text{Min: 1, Max: 12}},
		{Name: "colour", Shape: Choice{Words: []string{"red", "green", "blue"}}},
		{Name: "count", Shape: Whole{Min: 0, Max: 9}},
		{Name: "ratio", Shape: Number{Within: Between(0, 2)}},
		{Name: "at", Shape: Clock{}},
		{Name: "open", Shape: Bool{}},
		{Name: "list", Shape: List{Of: Whole{Min: 0, Max: 9}, Max: 3}},
		{Name: "heart", Shape: Map{Noun: "parameter", Entries: []Field{{Name: "rim-length", Shape: Quantity{Unit: "mm"}}}, Min: 1}},
		{Name: "place", Shape: Alternatives{Of: []Alternative{
			{Key: "from", Shape: Object{Fields: []Field{{Name: "from", Shape: Text{}, Required: true}, {Name: "by", Shape: Quantity{Unit: "mm"}, Required: true}}}},
			{Key: "clock", Shape: Object{Fields: []Field{{Name: "clock", Shape: Clock{}, Required: true}}}},
		}}},
		{Name: "path", Shape: Object{
			Fields: []Field{{Name: "out", Shape: Text{}}, {Name: "travel", Shape: Quantity{Unit: "mm"}}, {Name: "heading", Shape: Text{}}, {Name: "kind", Shape: Choice{Words: []string{"one", "two"}}}, {Name: "apart", Shape: Quantity{Unit: "mm"}}},
			OneOf:  []Group{{{"out"}, {"travel", "heading"}}},
			When:   []When{{Key: "kind", Is: "two", Needs: []string{"apart"}}},
		}},
	},
}

func TestParseRefuses(t *testing.T) {
	mm15 := "a number in mm, 0 mm to 15 mm"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "f:1:1: the file is empty; expected a mapping of keys and values; write the file's content"},
		{"only a comment", "# nothing\n", "f:1:1: the file is empty; expected a mapping of keys and values; write the file's content"},
		{"a list on top", "- 1\n", "f:1:1: a list is here; expected a mapping of keys and values; write keys with their values, each on a line"},
		{"only a beginning", "---", "f:1:4: nothing is here; expected a mapping of keys and values; write keys with their values, each on a line"},
		{"bare number", "length: 12", "f:1:9: length: \"12\" has no unit; expected " + mm15 + "; write 12 mm"},
		{"centimetres", "length: 1.2 cm", "f:1:9: length: \"1.2 cm\" has another unit; expected " + mm15 + "; write 12 mm"},
		{"centimetres too far", "length: 12 cm", "f:1:9: length: \"12 cm\" has another unit; expected " + mm15 + "; write it as in 12 mm"},
		{"micrometres", "length: 500 µm", "f:1:9: length: \"500 µm\" has another unit; expected " + mm15 + "; write 0.5 mm"},
		{"unknown unit", "length: 3 kg", "f:1:9: length: \"3 kg\" has another unit; expected " + mm15 + "; write it as in 12 mm"},
		{"unit first", "length: mm 3", "f:1:9: length: \"mm 3\" is not a plain decimal number with the unit mm; expected " + mm15 + "; write it as in 12 mm"},
		{"two spaces", "length: 3  mm", "f:1:9: length: \"3  mm\" has more than one space before its unit; expected " + mm15 + "; write 3 mm"},
		{"decimal comma", "length: 1,5 mm", "f:1:9: length: \"1,5 mm\" is not a plain decimal number with the unit mm; expected " + mm15 + "; write 1.5 mm"},
		{"negative zero", "length: -0 mm", "f:1:9: length: \"-0 mm\" is negative; expected " + mm15 + "; write 0 mm"},
		{"typographic minus", "offset: −2 mm", "f:1:9: offset: \"−2 mm\" is not a plain decimal number with the unit mm; expected a number in mm, -15 mm to 15 mm; write -2 mm"},
		{"too large", "length: 15.01 mm", "f:1:9: length: \"15.01 mm\" is too large; expected " + mm15 + "; write a value in this range"},
		{"not above an open bound", "depth: 0 mm", "f:1:8: depth: \"0 mm\" is too small; expected a number in mm, more than 0 mm and at most 15 mm; write a value in this range"},
		{"at an open upper bound", "angle: 360 deg", "f:1:8: angle: \"360 deg\" is too large; expected clockwise, upward or a number in deg, at least 0 deg and less than 360 deg; write a value in this range"},
		{"word misspelt", "angle: clockwize", "f:1:8: angle: \"clockwize\" is neither a known word nor a plain decimal number with the unit deg; expected clockwise, upward or a number in deg, at least 0 deg and less than 360 deg; did you mean clockwise?"},
		{"square centimetres", "area: 6 cm2", "f:1:7: area: \"6 cm2\" has another unit; expected a number in mm2, at least 0 mm2; write 600 mm2"},
		{"nothing", "length:", "f:1:8: length: nothing is here; expected " + mm15 + "; write it as in 12 mm"},
		{"null", "length: ~", "f:1:9: length: nothing is here; expected " + mm15 + "; write it as in 12 mm"},
		{"mapping for a length", "length: {mm: 2}", "f:1:9: length: a mapping is here; expected " + mm15 + "; write it as in 12 mm"},
		{"number for a text", "title: 7", "f:1:8: title: \"7\" is here; expected one line of text, 1 to 12 characters; put it in quotes, as in \"7\""},
		{"truth for a text", "title: true", "f:1:8: title: \"true\" is here; expected one line of text, 1 to 12 characters; put it in quotes, as in \"true\""},
		{"long text", "title: thirteenrunes", "f:1:8: title: the text has 13 characters; expected one line of text, 1 to 12 characters; shorten or lengthen it"},
		{"empty text", `title: ""`, "f:1:8: title: the text has 0 characters; expected one line of text, 1 to 12 characters; shorten or lengthen it"},
		{"two lines", "title: |\n  a\n  b\n", "f:1:8: title: the text holds the control character U+000A; expected one line of text, 1 to 12 characters; write the text on one line, without tabs"},
		{"escaped control", `title: "a\x07"`, "f:1:8: title: the text holds the control character U+0007; expected one line of text, 1 to 12 characters; write the text on one line, without tabs"},
		{"unknown word", "colour: gren", "f:1:9: colour: unknown word \"gren\"; expected red, green or blue; did you mean green?"},
		{"word far off", "colour: mauve", "f:1:9: colour: unknown word \"mauve\"; expected red, green or blue; write one of these words"},
		{"fraction for whole", "count: 1.0", "f:1:8: count: \"1.0\" is not a whole number; expected a whole number, 0 to 9; write it as in 0"},
		{"whole in quotes", "count: '1'", "f:1:8: count: the number \"1\" is in quotes; expected a whole number, 0 to 9; remove the quotes"},
		{"whole too large", "count: 99999999999999999999", "f:1:8: count: \"99999999999999999999\" is out of range; expected a whole number, 0 to 9; write it as in 0"},
		{"number in quotes", "ratio: '1'", "f:1:8: ratio: the number \"1\" is in quotes; expected a number without a unit, 0 to 2; remove the quotes"},
		{"number too large", "ratio: 2.5", "f:1:8: ratio: \"2.5\" is too large; expected a number without a unit, 0 to 2; write a value in this range"},
		{"hour of the day", "at: 16:30", "f:1:5: at: \"16:30\" is not a clock position; expected a clock position from 1:00 to 12:59; write 4:30"},
		{"midnight", "at: 0:15", "f:1:5: at: \"0:15\" is not a clock position; expected a clock position from 1:00 to 12:59; write 12:15"},
		{"bare hour", "at: 4", "f:1:5: at: \"4\" is not a clock position; expected a clock position from 1:00 to 12:59; write 4:00"},
		{"no such minute", "at: 4:75", "f:1:5: at: \"4:75\" is not a clock position; expected a clock position from 1:00 to 12:59; write it as in 4:30"},
		{"yes for true", "open: yes", "f:1:7: open: \"yes\" is here; expected true or false; write true or false"},
		{"long list", "list: [1, 2, 3, 4]", "f:1:7: list: the list has 4 items; expected 0 to 3; lengthen or shorten it"},
		{"item of a list", "list: [1, x]", "f:1:11: item 2: \"x\" is not a whole number; expected a whole number, 0 to 9; write it as in 0"},
		{"empty map", "heart: {}", "f:1:8: heart: too few entries; expected at least 1; add what is missing"},
		{"unknown entry", "heart: {rim-lenght: 3 mm}", "f:1:9: unknown parameter \"rim-lenght\"; expected one of rim-length; did you mean rim-length?"},
		{"no alternative", "place: {form: a}", "f:1:8: place: none of the keys from or clock is here; expected (from and by) or clock; did you mean from by \"form\"?"},
		{"two alternatives", "place: {from: a, clock: 4:30}", "f:1:8: place: the keys from and clock exclude each other; expected either (from and by) or clock; keep the one way that is meant"},
		{"half an alternative", "place: {from: a}", "f:1:8: place: the key by is missing; expected by with a number in mm; add it"},
		{"no set of a group", "path: {}", "f:1:7: path: out or (travel and heading) is missing; expected exactly one of them; add the one that is meant"},
		{"two sets of a group", "path: {out: a, travel: 2 mm}", "f:1:7: path: out and (travel and heading) exclude each other; expected exactly one of out or (travel and heading); remove what is not meant"},
		{"half a set", "path: {travel: 2 mm}", "f:1:7: path: the key heading is missing; expected travel and heading together; add it"},
		{"needed by a word", "path: {out: a, kind: two}", "f:1:7: path: the key apart is missing where kind is two; expected apart together; add it"},
		{"refused by a word", "path: {out: a, kind: one, apart: 2 mm}", "f:1:27: path: the key apart is here where kind is one; expected apart only where kind is two; remove it, or mend kind"},
		{"unknown key", "lenght: 2 mm", "f:1:1: unknown key \"lenght\"; expected one of length, offset, angle, depth, area, title, colour, count, ratio, at, open, list, heart, place or path; did you mean length?"},
		{"duplicate key", "count: 1\nopen: true\ncount: 2\n", "f:3:1: the key \"count\" is here for the second time; it is first at f:1:1; expected each key once; remove or rename one of the two"},
		{"number as key", "1: 2", "f:1:1: the key \"1\" is not a word; expected a word; put the key in quotes if it is meant"},
		{"list as key", "? [a]\n: 1\n", "f:1:3: a key is a list or a mapping; expected a word; write the key as a word"},
		{"anchor", "title: &a b", "f:1:8: the anchor &a is set; expected a plain value; remove the anchor; a text that begins with & needs quotes"},
		{"alias", "title: &a b\nplace: {from: *a, by: 1 mm}\n", "f:1:8: the anchor &a is set; expected a plain value; remove the anchor; a text that begins with & needs quotes\nf:2:15: the alias *a is used; expected every value written out; put the value itself here; a text that begins with * needs quotes"},
		{"alias of nothing", "count: 1\ntitle: *bold\n", "f:2:8: an alias (*) is used; expected every value written out; put the value itself here; a text that begins with * needs quotes"},
		{"lone star", "title: *\n", "f:1:8: an alias (*) or an anchor (&) is begun; expected every value written out; put the text in quotes if it begins with that mark"},
		{"merge", "<<: {count: 1}", "f:1:1: the merge key << is used; expected every key written out; write the merged keys here themselves"},
		{"tag", "title: !!str 7", "f:1:8: the tag !!str is written; expected a plain value; remove the tag; a text that begins with ! needs quotes"},
		{"bare tag", "title: ! x", "f:1:8: the tag ! is written; expected a plain value; remove the tag; a text that begins with ! needs quotes"},
		{"second document", "count: 1\n---\ncount: 2\n", "f:3:1: a second document begins; expected one document in a file; remove the line --- and what follows it, or make it a file of its own"},
		{"not UTF-8", "title: a\xffb", "f:1:9: a byte that is not UTF-8; expected text in UTF-8 without control characters; remove it, or save the file as UTF-8"},
		{"UTF-16", "\xff\xfea\x00", "f:1:1: a byte that is not UTF-8; expected text in UTF-8 without control characters; remove it, or save the file as UTF-8"},
		{"control character", "count: 1\ntitle: ä\x01", "f:2:9: the control character U+0001; expected text in UTF-8 without control characters; remove it, or save the file as UTF-8"},
		{"unusual line break", "title: a\u2028b", "f:1:9: the unusual line break U+2028; expected text in UTF-8 without control characters; remove it, or save the file as UTF-8"},
		{"inner byte-order mark", "title: a\ufeffb", "f:1:9: a byte-order mark within the text; expected text in UTF-8 without control characters; remove it, or save the file as UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, problems := Parse("f", []byte(c.text), menu)
			if got := problems.Error(); got != c.want {
				t.Errorf("%q\n got %s\nwant %s", c.text, got, c.want)
			}
		})
	}
}

func TestParseRefusesOddNumbers(t *testing.T) {
	for _, odd := range []string{"NaN", ".nan", ".inf", "-.inf", "1e999", "1e3", "0x10", "0b11", "0o17", "010", "1_000", ".5", "5.", "+-1", "١٢", "1 2", ""} {
		for _, text := range []string{"offset: " + odd + " mm", "offset: '" + odd + " mm'", "ratio: " + odd, "count: " + odd} {
			if _, problems := Parse("f", []byte(text), menu); len(problems) != 1 {
				t.Errorf("%q: got %v, want one problem", text, problems)
			}
		}
	}
}

func TestParseLocatesSyntaxErrors(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"open bracket", "count: 1\nlist: [1\ntitle: x\n", "f:2:8: a list in brackets"},
		{"open brace", "count: 1\npath: {out: a\ntitle: x\n", "f:2:8: a mapping in braces"},
		{"wrong closing", "list: [1, 2}\n", "f:1:12: a list in brackets"},
		{"lone brace", "count: 1\n}\n", "f:2:1: this does not fit"},
		{"tab", "count: 1\n\ttitle: x\n", "f:2:1: a tab is used"},
		{"tab under a key", "path:\n\tout: x\n", "f:2:1: a tab is used"},
		{"indented too far", "count: 1\n title: x\n", "f:2:7: a colon stands"},
		{"indented too little", "path:\n   out: x\n  kind: one\n", "f:3:3: this does not fit"},
		{"behind a quotation mark", "title: \"日本\" x\n", "f:1:13: this does not fit"},
		{"open quotation mark", "count: 1\ntitle: 'x\n\nopen: true\n", "f:2:8: quoted text is not closed"},
		{"open quotation mark on the first line", "title: 'x\n\nopen: true\n", "f:1:8: quoted text is not closed"},
		{"two colons", "title: 日本: x\n", "f:1:10: a colon stands"},
		{"no colon", "count: 1\ntitle\nopen: true\n", "f:2:1: a line holds no key"},
		{"carriage returns", "count: 1\r\nopen: true\r\ntitle\r\nlist: []\r\n", "f:3:1: a line holds no key"},
		{"at sign", "title: @me\n", "f:1:8: no value can begin with \"@\""},
		{"backslash", `title: "\q"`, "f:1:9: a backslash begins no known escape"},
		{"dash", "list: - 1\n", "f:1:7: a dash begins a list item"},
		{"second item without dash", "list:\n  - [1]\n  x\n", "f:3:3: "},
		{"bracket without its like", "list: [1, }\n", "f:1:11: a bracket or brace"},
		{"behind the end", "count: 1\n...\nmore\n", "f:3:1: text follows"},
		{"YAML version", "%YAML 3.0\n---\ncount: 1\n", "f:1:9: the file asks for another version"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, problems := Parse("f", []byte(c.text), menu)
			if got := problems.Error(); !strings.HasPrefix(got, c.want) || len(problems) != 1 {
				t.Errorf("%q\n got %s\nwant %s…", c.text, got, c.want)
			}
		})
	}
}

func TestParseLimits(t *testing.T) {
	many := strings.Repeat("- 1\n", MaxItems+1)
	deep := strings.Repeat("[", MaxDepth+1) + strings.Repeat("]", MaxDepth+1)
	absurd := strings.Repeat("[", 20000)
	for _, c := range []struct{ name, text, want string }{
		{"bytes", "#" + strings.Repeat("x", MaxBytes), "the file is 1048577 bytes long"},
		{"items", many, "f:5001:3: a list has 5001 items"},
		{"depth", deep, "f:1:33: the nesting is too deep"},
		{"absurd depth", absurd, "the nesting is far too deep"},
	} {
		_, problems := Parse("f", []byte(c.text), List{Of: Whole{Max: 1}})
		if got := problems.Error(); !strings.Contains(got, c.want) || len(problems) != 1 {
			t.Errorf("%s: got %.200s, want %s", c.name, got, c.want)
		}
	}
	if _, problems := Parse("f", []byte(strings.Repeat("- 1\n", MaxItems)), List{Of: Whole{Max: 1}}); problems != nil {
		t.Errorf("a list of the greatest length: %v", problems)
	}
}

func TestParseAccepts(t *testing.T) {
	text := "\ufeff# a comment\n---\nlength: 12mm\noffset: \"-2.50 mm\"\nangle: 30 deg\ndepth: +0.1 mm\narea: 600 mm2\n" +
		"title: '<b>שלום 🫀\"'\ncolour: red\ncount: 9\nratio: 0.25\nat: 12:30\nopen: true\nlist: [3, 1]\n" +
		"heart: { rim-length: 118 mm }\nplace: { from: x, by: 3 mm }\npath: { travel: 1 mm, heading: up, kind: two, apart: 5 mm }\n"
	v, problems := Parse("f", []byte(text), menu)
	if problems != nil {
		t.Fatal(problems)
	}
	for name, want := range map[string]float64{"length": 12, "offset": -2.5, "angle": 30, "depth": 0.1, "area": 600, "ratio": 0.25} {
		if got := v.Get(name).Number(); got != want {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
	if got := v.Get("title").Text(); got != `<b>שלום 🫀"` {
		t.Errorf("title: got %q", got)
	}
	if got := v.Get("at").Clock(); got != 12.5 {
		t.Errorf("at: got %v, want 12.5", got)
	}
	if items := v.Get("list").Items(); len(items) != 2 || items[0].Whole() != 3 || items[1].Whole() != 1 {
		t.Errorf("list: got %v", items)
	}
	if got := v.Get("path").Get("kind").Position(); got != (Position{"f", 17, 42}) {
		t.Errorf("kind: at %v", got)
	}
	if got := strings.Join(v.Get("path").Keys(), " "); got != "travel heading kind apart" {
		t.Errorf("path: keys %q", got)
	}
	if !v.Get("open").Bool() {
		t.Error("open: got false")
	}
}

func TestAbsentValueIsZero(t *testing.T) {
	v := Value{}.Get("a").Get("b")
	if v.Present() || v.Has("c") || v.Text() != "" || v.Number() != 0 || v.Whole() != 0 || v.Clock() != 0 || v.Bool() || v.Items() != nil || v.Keys() != nil || v.Position() != (Position{}) {
		t.Errorf("an absent value is not zero: %+v", v)
	}
}

func TestParseKeepsWhatIsSound(t *testing.T) {
	v, problems := Parse("f", []byte("count: 99\nratio: 1\nbogus: 1\n"), menu)
	if len(problems) != 2 || v.Has("count") || v.Get("ratio").Number() != 1 {
		t.Errorf("got %v with %v", v.Keys(), problems)
	}
}
