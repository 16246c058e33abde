package main_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// mayImport is a statement of policy: change it on purpose, not to make a build
// pass. "store/" stands for every package below store but ask, "" for main.
var mayImport = map[string][]string{
	"store/":    nil, // the leaves: numbers in, numbers out
	"store":     {"store/"},
	"store/ask": {"store", "store/"},
	"import":    {"store", "store/"},
	// What was typed and how it is told are rooms of their own; the second takes
	// what store and ask return and opens nothing.
	"commands/line": {"store/"},
	"commands/tell": {"store", "store/ask", "store/"},
	// Paper draws what it is given.
	"commands/paper": {"store/"},
	// The page asks and books as a verb does.
	"commands/page": {"commands/tell", "commands/paper", "commands/photo", "commands/scan", "store", "store/ask", "store/"},
	// Photographs are decoded there and nowhere else.
	"commands/photo": {"store", "store/"},
	// What square codes say; labels are drawn in its tests.
	"commands/scan": {"commands/photo", "commands/paper", "store", "store/"},
	"commands":      {"commands/depth", "commands/line", "commands/tell", "commands/paper", "commands/page", "commands/photo", "import", "store", "store/ask", "store/"},
	"":              {"commands"},
}

// onlyIn says which packages alone may import a package or module, tests of others too.
// One is meant with all packages below it.
var onlyIn = map[string]string{
	"go.etcd.io/bbolt":                "store",
	"github.com/fxamacker/cbor":       "store",
	"github.com/xuri/excelize":        "import",
	"github.com/urfave/cli":           "commands",
	"golang.org/x/term":               "commands",
	"github.com/rogpeppe/go-internal": "commands",
	"github.com/boombuler/barcode":    "commands/paper",
	"golang.org/x/image/font":         "commands/paper",
	"golang.org/x/image/draw":         "commands/photo",
	"github.com/makiuchi-d/gozxing":   "commands/scan commands/paper", // paper in tests
	"github.com/chromedp":             "commands/page",                // in tests: a browser that opens the page
}

// network are packages of the standard library that speak to a network. The page
// listens, and nothing else of the program does; tests may ask it.
var network = []string{"net", "net/http", "net/http/cookiejar", "net/http/httptest"}

// notInLeaves are packages of the standard library that a leaf must not use: it
// touches no clock, file, process or network.
var notInLeaves = []string{"os", "os/exec", "os/user", "io/fs", "path/filepath", "net", "net/http", "math/rand", "math/rand/v2"}

// notOurs are packages that no file of the project uses: os/user asks the C library on
// some systems.
var notOurs = []string{"os/user", "plugin"}

// decoders make pixels of bytes that anybody may have made. They have one room, where
// that is done with care.
var decoders = []string{"image/jpeg", "image/png", "image/gif", "golang.org/x/image/webp"}

const module = "tinful"

// An imported is one import of one file.
type imported struct {
	file, folder, path string
	test               bool
}

func TestImportsFollowThePolicy(t *testing.T) {
	for _, i := range imports(t) {
		room := roomOf(i.folder)
		if within(i.path, module) {
			to := strings.TrimPrefix(strings.TrimPrefix(i.path, module), "/")
			self := i.test && to == i.folder // an external test of the package
			allowed, known := mayImport[room]
			switch {
			case !known:
				t.Errorf("%s: folder %s has no line in mayImport: which room is it?", i.file, i.folder)
			case !self && !slices.Contains(allowed, roomOf(to)):
				t.Errorf("%s imports %s: %s may import %s", i.file, i.path, named(room), list(allowed))
			}
			continue
		}
		for mod, only := range onlyIn {
			if within(i.path, mod) && !slices.Contains(strings.Fields(only), i.folder) {
				t.Errorf("%s imports %s: only %s may", i.file, i.path, only)
			}
		}
		if room == "store/" && !i.test && slices.Contains(notInLeaves, i.path) {
			t.Errorf("%s imports %s: a leaf touches no clock, file or store", i.file, i.path)
		}
		if !i.test && slices.Contains(network, i.path) && room != "commands/page" {
			t.Errorf("%s imports %s: only commands/page listens, and nothing asks a network", i.file, i.path)
		}
		if !i.test && slices.Contains(decoders, i.path) && i.folder != "commands/photo" {
			t.Errorf("%s imports %s: only commands/photo decodes pictures", i.file, i.path)
		}
		if !i.test && slices.Contains(notOurs, i.path) {
			t.Errorf("%s imports %s: no file of the project may", i.file, i.path)
		}
	}
}

// A regular expression that a package makes when it is loaded is paid for by every command:
// ten cost as much as the start of another program.
func TestNoExpressionIsMadeAtTheStart(t *testing.T) {
	files := token.NewFileSet()
	for _, file := range slices.Compact(slices.Sorted(func(yield func(string) bool) {
		for _, i := range imports(t) {
			if i.path == "regexp" && !i.test && !yield(i.file) {
				return
			}
		}
	})) {
		f, err := parser.ParseFile(files, file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok {
				continue
			}
			ast.Inspect(g, func(n ast.Node) bool {
				if call, ok := n.(*ast.SelectorExpr); ok && call.Sel.Name == "MustCompile" {
					t.Errorf("%s makes an expression at the start: sync.OnceValue makes it when it is asked for", files.Position(call.Pos()))
				}
				_, later := n.(*ast.FuncLit)
				return !later
			})
		}
	}
}

// A line of the policy that names nothing holds nothing.
func TestPolicyNamesWhatIsThere(t *testing.T) {
	all := imports(t)
	for room := range mayImport {
		if !slices.ContainsFunc(all, func(i imported) bool { return roomOf(i.folder) == room }) {
			t.Errorf("mayImport speaks of %s, where no file lies", named(room))
		}
	}
	for mod := range onlyIn {
		if !slices.ContainsFunc(all, func(i imported) bool { return within(i.path, mod) }) {
			t.Errorf("onlyIn speaks of %s, which nobody imports", mod)
		}
	}
}

// imports reads the imports of every Go file of the project, tests too.
func imports(t *testing.T) []imported {
	t.Helper()
	var out []imported
	err := filepath.WalkDir(".", func(file string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && file != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata"):
			return fs.SkipDir
		case d.IsDir() || filepath.Ext(file) != ".go":
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		slash := filepath.ToSlash(file)
		folder := strings.TrimPrefix(path.Dir(slash), ".")
		for _, spec := range f.Imports {
			p, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			out = append(out, imported{slash, folder, p, strings.HasSuffix(file, "_test.go")})
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// roomOf is the line of mayImport that a folder falls under.
func roomOf(folder string) string {
	if strings.HasPrefix(folder, "store/") && folder != "store/ask" {
		return "store/"
	}
	return folder
}

func within(path, mod string) bool { return path == mod || strings.HasPrefix(path, mod+"/") }

func named(room string) string {
	switch room {
	case "":
		return "main"
	case "store/":
		return "a leaf"
	}
	return room
}

func list(rooms []string) string {
	if len(rooms) == 0 {
		return "nothing of the project"
	}
	var out []string
	for _, r := range rooms {
		out = append(out, named(r))
	}
	return strings.Join(out, ", ")
}

// A type that everything hangs on is a room without walls: what a method reads, the
// line, the store or the screen, is where it lives.
func TestNoTypeOfCommandsHasTooManyMethods(t *testing.T) {
	const most = 40
	methods := map[string]int{}
	var files []string
	for _, rooms := range []string{"*.go", "*/*.go"} {
		found, err := filepath.Glob(filepath.Join("commands", filepath.FromSlash(rooms)))
		if err != nil || len(found) == 0 {
			t.Fatal(found, err)
		}
		files = append(files, found...)
	}
	for _, file := range files {
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv != nil {
				of := fn.Recv.List[0].Type
				if p, ok := of.(*ast.StarExpr); ok {
					of = p.X
				}
				if name, ok := of.(*ast.Ident); ok {
					methods[filepath.Join(filepath.Dir(file), name.Name)]++
				}
			}
		}
	}
	for name, n := range methods {
		if n > most {
			t.Errorf("%s has %d methods, and %d are the most", name, n, most)
		}
	}
}
