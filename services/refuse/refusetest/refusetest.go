// Package refusetest checks that a service's table of refusals knows every error
// of the rooms it serves.
//
// Start from [Complete]. It reads source, so that an error added to a domain and
// forgotten in the table fails a test instead of reaching a caller as INTERNAL.
//
// It must not know any particular service or error.
//
// Worked example: job.ErrStale is declared in dispatch/job; the table names it
// as job.ErrStale; take the row out and the test names it.
package refusetest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// Complete fails t for every exported error variable (Err…) declared in the
// packages at dirs that the file at table does not name, and for every exempt
// name that is not declared. exempt says, by "package.ErrName", why an error
// needs no row. Paths are relative to the test's folder.
func Complete(t *testing.T, table string, dirs []string, exempt map[string]string) {
	t.Helper()
	named := selectors(t, table)
	declared := map[string]bool{}
	for _, dir := range dirs {
		for _, name := range sentinels(t, dir) {
			declared[name] = true
			if _, ok := exempt[name]; !ok && !named[name] {
				t.Errorf("%s is not in the table: give it a code, or say here why it needs none", name)
			}
		}
	}
	if len(declared) == 0 {
		t.Fatalf("no error found in %v: the test does not see the source", dirs)
	}
	for name := range exempt {
		if !declared[name] {
			t.Errorf("exempt %s is not declared any more", name)
		}
		if named[name] {
			t.Errorf("%s is exempt and in the table", name)
		}
	}
}

// selectors are the "package.Name" expressions of one file.
func selectors(t *testing.T, path string) map[string]bool {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok {
				out[x.Name+"."+s.Sel.Name] = true
			}
		}
		return true
	})
	return out
}

// sentinels are the exported error variables of one package.
func sentinels(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != dir {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		for _, decl := range file.Decls {
			g, ok := decl.(*ast.GenDecl)
			if !ok || g.Tok != token.VAR {
				continue
			}
			for _, spec := range g.Specs {
				for _, name := range spec.(*ast.ValueSpec).Names {
					if strings.HasPrefix(name.Name, "Err") {
						out = append(out, file.Name.Name+"."+name.Name)
					}
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
