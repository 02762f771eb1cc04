package svgcheck

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
)

const (
	svgNamespace = "http://www.w3.org/2000/svg"
	xmlNamespace = "http://www.w3.org/XML/1998/namespace"
)

// allowed are the elements a sheet may hold; svgout writes no others.
var allowed = []string{"svg", "title", "desc", "style", "g", "path", "line", "circle", "rect", "text"}

// CheckStrict fails the test for every fault Strict finds.
func CheckStrict(t testing.TB, sheet []byte) {
	t.Helper()
	for _, err := range Strict(sheet) {
		t.Error(err)
	}
}

// Strict reads a sheet more closely than a browser would and lists its
// faults: broken XML, repeated attributes or ids, references that lead
// nowhere or outside, numbers that are none, negative sizes, classes without
// style, and anything that could run or load something.
func Strict(sheet []byte) []error {
	s := &strict{ids: map[string]bool{}, styled: map[string]bool{}}
	s.errs = append(s.errs, tagFaults(sheet)...)
	d := xml.NewDecoder(bytes.NewReader(sheet))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			s.fault("not well-formed: %v", err)
			break
		}
		s.token(token)
	}
	s.settle()
	return s.errs
}

// strict is one reading of a sheet. References and classes are settled at
// the end, because what they name may come later.
type strict struct {
	errs    []error
	path    []string
	roots   int
	ids     map[string]bool
	refs    []string
	classes []string
	styled  map[string]bool
	css     strings.Builder
}

func (s *strict) fault(format string, args ...any) {
	s.errs = append(s.errs, fmt.Errorf(format, args...))
}

func (s *strict) token(token xml.Token) {
	switch token := token.(type) {
	case xml.StartElement:
		s.start(token)
	case xml.EndElement:
		s.path = s.path[:len(s.path)-1]
	case xml.CharData:
		if len(s.path) > 0 && s.path[len(s.path)-1] == "style" {
			s.css.Write(token)
		}
	case xml.Directive:
		s.fault("a document type or entity: <!%s>", token)
	case xml.ProcInst:
		if token.Target != "xml" {
			s.fault("a processing instruction: %s", token.Target)
		}
	}
}

func (s *strict) start(e xml.StartElement) {
	if len(s.path) == 0 {
		s.roots++
		if e.Name.Local != "svg" || s.roots > 1 {
			s.fault("root element %d is <%s>", s.roots, e.Name.Local)
		}
	}
	if e.Name.Space != svgNamespace || !slices.Contains(allowed, e.Name.Local) {
		s.fault("element <%s> of namespace %q is not allowed", e.Name.Local, e.Name.Space)
	}
	s.path = append(s.path, e.Name.Local)
	for _, a := range e.Attr {
		s.attribute(e.Name.Local, a)
	}
}

func (s *strict) attribute(element string, a xml.Attr) {
	name, value := a.Name.Local, a.Value
	switch {
	case a.Name.Space == "xmlns", name == "xmlns":
		return
	case strings.HasPrefix(strings.ToLower(name), "on"):
		s.fault("<%s> has the handler %s", element, name)
	case name == "id":
		if s.ids[value] {
			s.fault("id %q is used twice", value)
		}
		s.ids[value] = true
	case name == "class":
		s.classes = append(s.classes, strings.Fields(value)...)
	case name == "href":
		if !strings.HasPrefix(value, "#") {
			s.fault("<%s> refers outside: %q", element, value)
		}
		s.refs = append(s.refs, strings.TrimPrefix(value, "#"))
	case slices.Contains([]string{"aria-labelledby", "aria-describedby", "aria-details", "aria-controls", "aria-owns"}, name):
		s.refs = append(s.refs, strings.Fields(value)...)
	default:
		if err := numberFault(name, value); err != nil {
			s.fault("<%s>: %w", element, err)
		}
	}
	if name != "aria-label" && a.Name.Space != xmlNamespace {
		s.urls(value)
	}
}

var (
	urlCall   = regexp.MustCompile(`(?i)url\(\s*['"]?([^)'"]*)['"]?\s*\)`)
	cssClass  = regexp.MustCompile(`\.([A-Za-z][A-Za-z0-9_-]*)\s*\{`)
	cssBanned = regexp.MustCompile(`(?i)@import|@font-face|javascript:|data:|expression\(|https?:|</`)
	notNumber = regexp.MustCompile(`(?i)\b(nan|inf|infinity)\b`)
)

// urls notes every url(#id) and refuses every other url.
func (s *strict) urls(text string) {
	for _, m := range urlCall.FindAllStringSubmatch(text, -1) {
		if !strings.HasPrefix(m[1], "#") {
			s.fault("refers outside: %q", m[0])
			continue
		}
		s.refs = append(s.refs, m[1][1:])
	}
	if m := cssBanned.FindString(text); m != "" {
		s.fault("holds %q", m)
	}
}

func (s *strict) settle() {
	css := s.css.String()
	s.urls(css)
	if m := notNumber.FindString(css); m != "" {
		s.fault("the style holds %q", m)
	}
	for _, m := range cssClass.FindAllStringSubmatch(css, -1) {
		s.styled[m[1]] = true
	}
	for _, ref := range s.refs {
		if !s.ids[ref] {
			s.fault("nothing has the id %q referred to", ref)
		}
	}
	for _, class := range s.classes {
		if !s.styled[class] {
			s.fault("class %q has no style", class)
		}
	}
}

// tagFaults scans the tags themselves: the XML decoder does not notice an
// attribute given twice.
func tagFaults(sheet []byte) []error {
	var errs []error
	for rest := string(sheet); ; {
		at := strings.IndexByte(rest, '<')
		if at < 0 {
			return errs
		}
		rest = rest[at:]
		if end := skipped(rest); end > 0 {
			rest = rest[end:]
			continue
		}
		name, attributes, end := tag(rest)
		seen := map[string]bool{}
		for _, a := range attributes {
			if seen[a] {
				errs = append(errs, fmt.Errorf("<%s> has %s twice", name, a))
			}
			seen[a] = true
		}
		rest = rest[end:]
	}
}

// skipped is the length of what stands at the start of text and is no tag
// with attributes, and zero for such a tag.
func skipped(text string) int {
	for _, span := range [][2]string{{"<!--", "-->"}, {"<![CDATA[", "]]>"}, {"<?", "?>"}, {"</", ">"}, {"<!", ">"}} {
		if strings.HasPrefix(text, span[0]) {
			if end := strings.Index(text, span[1]); end >= 0 {
				return end + len(span[1])
			}
			return len(text)
		}
	}
	return 0
}

// tag reads a start tag: its name, the names of its attributes, and where it
// ends.
func tag(text string) (name string, attributes []string, end int) {
	i := 1
	word := func() string {
		from := i
		for i < len(text) && !strings.ContainsRune(" \t\r\n=/>\"'", rune(text[i])) {
			i++
		}
		return text[from:i]
	}
	name = word()
	for i < len(text) && text[i] != '>' {
		switch c := text[i]; c {
		case ' ', '\t', '\r', '\n', '/', '=':
			i++
		case '"', '\'':
			close := strings.IndexByte(text[i+1:], c)
			if close < 0 {
				return name, attributes, len(text)
			}
			i += close + 2
		default:
			attributes = append(attributes, word())
		}
	}
	return name, attributes, min(i+1, len(text))
}
