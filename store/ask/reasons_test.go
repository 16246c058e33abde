package ask

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tinful/store/thread"
)

// Every kind of reason, here, among the notes of package thread and among the likely
// reasons of package differ, is a word of the doc, since programs rely on the words.
func TestKindsAreListed(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	kinds := kindsIn(t)
	differ, err := os.ReadFile(filepath.Join("..", "differ", "differ.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`r\.add\([^"]*"([a-z-]+)"`).FindAllStringSubmatch(string(differ), -1) {
		kinds = append(kinds, m[1])
	}
	kinds = append(kinds, thread.NoteAlike, thread.NoteTen, thread.NoteAny, thread.NoteCone, thread.Published, thread.Reckoned, thread.Unpublished)
	if len(kinds) < 20 {
		t.Fatalf("only %d kinds are found: %v", len(kinds), kinds)
	}
	for _, k := range kinds {
		if !regexp.MustCompile(`[\s(]` + regexp.QuoteMeta(k) + `[\s,.)]`).Match(doc) {
			t.Errorf("doc.go does not list the kind %q", k)
		}
	}
}

// kindsIn are the values of the constants of type ReasonKind here and in store.
func kindsIn(t *testing.T) (kinds []string) {
	t.Helper()
	own, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(own, "../verdict.go", "../unit.go") {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), f, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			v, ok := n.(*ast.ValueSpec)
			if !ok {
				return true
			}
			sel, ok := v.Type.(*ast.SelectorExpr)
			id, local := v.Type.(*ast.Ident)
			if ok && sel.Sel.Name == "ReasonKind" || local && id.Name == "ReasonKind" {
				word, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
				if err != nil {
					t.Fatal(err)
				}
				kinds = append(kinds, word)
			}
			return true
		})
	}
	return kinds
}
