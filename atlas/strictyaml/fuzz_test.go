package strictyaml

import (
	"strings"
	"testing"
)

func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		"", "length: 12 mm\n", "length: &a 12 mm\ntitle: *a\n", "<<: {count: 1}\n", "title: ! x\n", "count: 1\n---\ncount: 2\n",
		"place: {from: a, by: 2 mm}\n", "path: {travel: 1 mm, heading: a, kind: two, apart: 3 mm}\n", "title: \"a\\x07\"\n",
		"list: [1, 2\n", "\ttitle: x\n", "? {a: b}\n: c\n", "title: |\n  a\n  b\n", "\ufefftitle: 日本: x\n", "a: 1\n# c\n  # d\n b: 2\n", "{", "[[[", "at: 4:30\r\nopen: true\r",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		v, problems := Parse("f", data, menu)
		for _, p := range problems {
			if p.File != "f" || p.Line < 1 || p.Column < 1 || p.What == "" || strings.ContainsAny(p.Error(), "\n\r") {
				t.Errorf("a malformed problem: %q", p.Error())
			}
			if p.Line > strings.Count(string(data), "\n")+strings.Count(string(data), "\r")+1 {
				t.Errorf("a problem behind the end: %q", p.Error())
			}
		}
		if problems == nil && !v.Present() {
			t.Error("neither a value nor a problem")
		}
	})
}
