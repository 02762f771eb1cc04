package svgout

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// speech is what looks like words for a reader: two small words in a row, or a capital word.
var speech = regexp.MustCompile(`[a-z]{2,},? [a-z]{2,}|^[A-Z][a-z]{2,}`)

// unspoken are calls whose text is for who runs the program, or is no language: errors, style and parts of documents.
var unspoken = map[string]bool{"Errorf": true, "New": true, "fail": true, "MustCompile": true, "finite": true, "positive": true, "sound": true}

// No word of a drawing stands in the code: all of them come from the files of the languages.
func TestNoWordsInTheCode(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	fset, read := token.NewFileSet(), 0
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") || inDocuments[name] {
			continue
		}
		file, err := parser.ParseFile(fset, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.CallExpr:
				return !unspoken[nameOfCall(n)]
			case *ast.BasicLit:
				if n.Kind == token.STRING {
					read++
					if text, _ := strconv.Unquote(n.Value); speech.MatchString(text) && !strings.ContainsAny(text, "{<") {
						t.Errorf("%s: %q is for a reader: make it a message", fset.Position(n.Pos()), text)
					}
				}
			}
			return true
		})
	}
	if read < 500 {
		t.Errorf("only %d texts were looked at", read)
	}
}

// inDocuments are files that write a document's own keywords, in which no reader's words stand.
var inDocuments = map[string]bool{"pdf.go": true, "pdf_amend.go": true, "displaylist_svg.go": true, "style.go": true}

func nameOfCall(call *ast.CallExpr) string {
	switch f := call.Fun.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		return f.Sel.Name
	}
	return ""
}
