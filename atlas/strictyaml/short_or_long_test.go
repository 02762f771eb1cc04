package strictyaml

import (
	"strings"
	"testing"
)

var sizeShape = Object{Fields: []Field{{Name: "size", Shape: ShortOrLong{
	Short: Quantity{Unit: "mm", Within: Between(0, 50)},
	Long: Object{Fields: []Field{
		{Name: "value", Required: true, Shape: Quantity{Unit: "mm", Within: Between(0, 50)}},
		{Name: "by", Shape: Choice{Words: []string{"echo", "ct"}}},
	}},
	Key: "value",
}}}}

func TestShortOrLong(t *testing.T) {
	for _, c := range []struct {
		text  string
		value float64
		by    string
		fault string
	}{
		{"size: 12 mm", 12, "", ""},
		{"size: { value: 12 mm }", 12, "", ""},
		{"size: { value: 13 mm, by: ct }", 13, "ct", ""},
		{"size: 90 mm", 0, "", "too large"},
		{"size: { by: ct }", 0, "ct", "value"},
		{"size: { value: 13 mm, by: tc }", 13, "", "did you mean ct"},
		{"size: [1]", 0, "", "list"},
	} {
		v, problems := Parse("f.yaml", []byte(c.text), sizeShape)
		if got := v.Get("size").Get("value").Number(); got != c.value {
			t.Errorf("%s: value %g, want %g", c.text, got, c.value)
		}
		if got := v.Get("size").Get("by").Text(); got != c.by {
			t.Errorf("%s: by %q, want %q", c.text, got, c.by)
		}
		if text := problems.Error(); c.fault == "" && len(problems) > 0 || !strings.Contains(text, c.fault) {
			t.Errorf("%s: problems %q, want one about %q", c.text, text, c.fault)
		}
	}
}
