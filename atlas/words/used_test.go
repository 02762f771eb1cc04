package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// usage is how the code says one message.
type usage struct {
	at     string
	id     string   // or how the ids begin that are put together there
	begins bool     // it is only how they begin
	blanks []string // that are filled; nil where they cannot be told from the call
}

// usages finds the messages that the code says: the first argument of Of and say, the second of layer.
func usages(t *testing.T) (found []usage) {
	t.Helper()
	fset := token.NewFileSet()
	err := filepath.WalkDir("../..", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if call, is := n.(*ast.CallExpr); is {
				if u, says := usageOf(call); says {
					u.at = fset.Position(call.Pos()).String()
					found = append(found, u)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func usageOf(call *ast.CallExpr) (u usage, says bool) {
	name := ""
	switch f := call.Fun.(type) {
	case *ast.Ident:
		name = f.Name
	case *ast.SelectorExpr:
		name = f.Sel.Name
	}
	prefix, arg := "", 0
	switch name {
	case "Of", "say":
	case "layer":
		prefix, arg = "layer.", 1
	case "usualLabel": // a kind of thing, and its id
		kind, whole, is := leading(call.Args[0])
		return usage{id: kind + ".", begins: true}, is && whole
	default:
		return usage{}, false
	}
	if len(call.Args) <= arg {
		return usage{}, false
	}
	text, whole, is := leading(call.Args[arg])
	if !is {
		return usage{}, false
	}
	u = usage{id: prefix + text, begins: !whole}
	if len(call.Args) == arg+1 {
		u.blanks = []string{}
	} else if literal, is := call.Args[arg+1].(*ast.CompositeLit); is {
		u.blanks = []string{}
		for _, e := range literal.Elts {
			if key, is := e.(*ast.KeyValueExpr).Key.(*ast.BasicLit); is {
				blank, _ := strconv.Unquote(key.Value)
				u.blanks = append(u.blanks, blank)
			}
		}
		slices.Sort(u.blanks)
	}
	return u, true
}

// leading is the text an expression is, or begins with.
func leading(e ast.Expr) (text string, whole, is bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(e.Value)
		return text, true, err == nil && e.Kind == token.STRING
	case *ast.BinaryExpr:
		text, _, is := leading(e.X)
		return text, false, is
	}
	return "", false, false
}

// The code says no message that English lacks, fills every blank of those it says and no other, and English has no message
// that is never said.
func TestMessagesAreTheOnesTheCodeSays(t *testing.T) {
	english := English()
	said := map[string]bool{}
	for _, u := range usages(t) {
		if u.begins {
			n := 0
			for id := range english.messages {
				if strings.HasPrefix(id, u.id) {
					said[id] = true
					n++
				}
			}
			if n == 0 {
				t.Errorf("%s: no message begins with %q", u.at, u.id)
			}
			continue
		}
		said[u.id] = true
		m, has := english.messages[u.id]
		if !has && u.id != ownWords {
			t.Errorf("%s: English lacks %q", u.at, u.id)
			continue
		}
		if has && u.blanks != nil && !slices.Equal(u.blanks, m.blanks()) {
			t.Errorf("%s: %s has the blanks %v, filled are %v", u.at, u.id, m.blanks(), u.blanks)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(english.messages)) {
		if !said[id] && !strings.HasPrefix(id, "list.") {
			t.Errorf("en.yaml:%d: %s is never said", english.messages[id].line, id)
		}
	}
}
