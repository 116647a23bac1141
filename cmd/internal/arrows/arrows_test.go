package arrows

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

const module = "onevisit"

// root is the top of the tree, from this package's folder.
const root = "../../.."

// A rule says what the packages below a folder must not import, and why.
type rule struct {
	below  string
	banned []string // import path prefixes
	reason string
}

var rules = []rule{
	{"diagnosis", domainBans, "the domain knows no transport, store, logger or operating system"},
	{"pricing", domainBans, "the domain knows no transport, store, logger or operating system"},
	{"dispatch", domainBans, "the domain knows no transport, store, logger or operating system"},
	{"diagnosis", []string{module + "/pricing", module + "/dispatch"}, "domains never import each other; services bring them together"},
	{"pricing", []string{module + "/diagnosis", module + "/dispatch"}, "domains never import each other; services bring them together"},
	{"dispatch", []string{module + "/diagnosis", module + "/pricing"}, "domains never import each other; services bring them together"},
	{"diagnosis/evidence", []string{module + "/"}, "the one noun is a leaf"},
	{"diagnosis/wording", []string{module + "/diagnosis/belief"}, "words know no probabilities of faults"},
	{"diagnosis/belief", []string{module + "/diagnosis/wording"}, "belief reads evidence, never words"},
	{"proto", []string{module + "/services", module + "/cmd", module + "/diagnosis", module + "/pricing", module + "/dispatch"}, "the contract depends on nobody"},
	{"services", []string{module + "/cmd"}, "cmd wires services, not the other way"},
	{"services/host", []string{module + "/services/triage", module + "/services/parts", module + "/services/dispatch", module + "/services/store"}, "the host houses any service"},
	{"services/triage", []string{module + "/services/parts", module + "/services/dispatch", module + "/services/store", module + "/pricing", module + "/dispatch"}, "services meet over gRPC only"},
	{"services/parts", []string{module + "/services/triage", module + "/services/dispatch", module + "/services/store", module + "/diagnosis", module + "/dispatch"}, "services meet over gRPC only"},
	{"services/dispatch", []string{module + "/services/triage", module + "/services/parts", module + "/services/store", module + "/diagnosis", module + "/pricing"}, "services meet over gRPC only, and a store is a port"},
	{"services/store", []string{module + "/services/host", module + "/services/dispatch", module + "/proto", "google.golang.org/grpc", "go.uber.org/zap"}, "a store keeps domain records and knows no transport"},
}

var domainBans = []string{
	module + "/proto", module + "/services", module + "/cmd",
	"google.golang.org", "github.com/redis", "go.uber.org/zap", "go.etcd.io", "buf.build",
	"os", "net", "log", "syscall",
}

// rooms must be there: a rule about a folder that has gone would pass on
// nothing.
var rooms = []string{
	"proto/onevisit/common/v1", "proto/onevisit/triage/v1", "proto/onevisit/parts/v1", "proto/onevisit/dispatch/v1",
	"diagnosis/evidence", "diagnosis/knowledge", "diagnosis/wording", "diagnosis/belief", "diagnosis/kit",
	"diagnosis/question", "diagnosis/procedure",
	"pricing/part", "pricing/marking", "pricing/fit", "pricing/catalogue", "pricing/quote",
	"dispatch/fleet", "dispatch/job", "dispatch/travel", "dispatch/route", "dispatch/offer",
	"services/host", "services/refuse", "services/triage", "services/parts", "services/dispatch",
	"services/store/boltstore", "services/store/redisstore", "services/store/storetest",
	"cmd/onevisit", "cmd/internal/house", "cmd/internal/evaluate",
}

type source struct {
	path string // from the root, with slashes
	file *ast.File
	fset *token.FileSet
	test bool
}

func (s source) dir() string { return filepath.ToSlash(filepath.Dir(s.path)) }

func sources(t *testing.T) []source {
	t.Helper()
	var out []source
	fset := token.NewFileSet()
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && path != root && (strings.HasPrefix(name, ".") || name == "testdata" || name == "third_party") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") {
			return nil
		}
		file, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		out = append(out, source{filepath.ToSlash(rel), file, fset, strings.HasSuffix(name, "_test.go")})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) < 50 {
		t.Fatalf("found only %d files: the walk does not see the tree", len(out))
	}
	return out
}

func below(path, folder string) bool { return path == folder || strings.HasPrefix(path, folder+"/") }

func banned(imported, ban string) bool {
	return imported == ban || strings.HasPrefix(imported, strings.TrimSuffix(ban, "/")+"/")
}

func TestImportsRunOneWay(t *testing.T) {
	all := sources(t)
	used := make([]bool, len(rules))
	for _, s := range all {
		for i, r := range rules {
			if !below(s.dir(), r.below) {
				continue
			}
			used[i] = true
			if s.test {
				continue // a test may need a file or a clock
			}
			for _, im := range s.file.Imports {
				imported, err := strconv.Unquote(im.Path.Value)
				if err != nil {
					t.Fatal(err)
				}
				for _, b := range r.banned {
					if banned(imported, b) {
						t.Errorf("%s imports %s: %s", s.path, imported, r.reason)
					}
				}
			}
		}
	}
	for i, ok := range used {
		if !ok {
			t.Errorf("rule about %s matched no file", rules[i].below)
		}
	}
}

func TestRoomsAreThereAndSayWhatTheyAreFor(t *testing.T) {
	docs := map[string]bool{}
	seen := map[string]bool{}
	for _, s := range sources(t) {
		seen[s.dir()] = true
		if !s.test && s.file.Doc != nil && strings.HasPrefix(s.file.Doc.Text(), "Package ") || s.file.Name.Name == "main" && s.file.Doc != nil {
			docs[s.dir()] = true
		}
	}
	for _, r := range rooms {
		if !seen[r] {
			t.Errorf("room %s is gone: take it off the list here and off the map in DEVELOPERS.md", r)
		}
	}
	for dir := range seen {
		if below(dir, "proto") {
			continue // generated; the .proto files carry the comments
		}
		if !docs[dir] {
			t.Errorf("%s has no package comment: write doc.go, saying what the room is for", dir)
		}
	}
	for _, bare := range []string{"diagnosis", "pricing", "dispatch", "services", "cmd"} {
		if seen[bare] {
			t.Errorf("%s holds Go files of its own; they belong in one of its rooms", bare)
		}
	}
}

// The domain gets the time as an argument, so that a decision can be repeated.
func TestDomainReadsNoClock(t *testing.T) {
	for _, s := range sources(t) {
		if s.test || !(below(s.dir(), "diagnosis") || below(s.dir(), "pricing") || below(s.dir(), "dispatch")) {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			call, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if x, ok := call.X.(*ast.Ident); ok && x.Name == "time" && (call.Sel.Name == "Now" || call.Sel.Name == "Since" || call.Sel.Name == "Until") {
				t.Errorf("%s: time.%s: the domain reads no clock", s.fset.Position(n.Pos()), call.Sel.Name)
			}
			return true
		})
	}
}

// longest is how many lines a file may have; a longer one is two rooms, or says
// at its top, in a comment that begins with "Long because", why it is not.
const longest = 600

func TestFilesStaySmall(t *testing.T) {
	for _, s := range sources(t) {
		if strings.HasSuffix(s.path, ".pb.go") {
			continue
		}
		lines := s.fset.File(s.file.Pos()).LineCount()
		if lines <= longest {
			continue
		}
		b, err := os.ReadFile(filepath.Join(root, s.path))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(b[:min(len(b), 2000)]), "Long because") {
			t.Errorf("%s has %d lines, more than %d, and does not say why", s.path, lines, longest)
		}
	}
}
