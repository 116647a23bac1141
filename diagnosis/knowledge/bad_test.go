package knowledge_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"onevisit/diagnosis/knowledge"
)

// good returns the small, complete set of testdata/good, to be changed at will.
func good(t testing.TB) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	root := os.DirFS("testdata/good")
	err := fs.WalkDir(root, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(root, path)
		out[path] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestLoad_BadFiles puts each file of testdata/bad into the good set and wants
// exactly the problems that its head names. Lines "# file:" say which file it
// stands for, "# remove:" which to take away, "# want:" one problem each.
func TestLoad_BadFiles(t *testing.T) {
	paths, err := filepath.Glob("testdata/bad/*.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no bad files: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".yaml"), func(t *testing.T) {
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			set := good(t)
			var want []string
			for line := range strings.Lines(string(data)) {
				line = strings.TrimSpace(line)
				if name, ok := strings.CutPrefix(line, "# file: "); ok {
					set[name] = &fstest.MapFile{Data: data}
				} else if name, ok := strings.CutPrefix(line, "# remove: "); ok {
					delete(set, name)
				} else if w, ok := strings.CutPrefix(line, "# want: "); ok {
					want = append(want, w)
				}
			}
			if len(want) == 0 {
				t.Fatal("no line # want:")
			}
			_, err = knowledge.Load(set)
			if !errors.Is(err, knowledge.ErrInvalid) {
				t.Fatalf("error %v does not wrap ErrInvalid", err)
			}
			var got []string
			for _, p := range knowledge.Problems(err) {
				got = append(got, p.Error())
			}
			if g, w := strings.Join(got, "\n"), strings.Join(want, "\n"); g != w {
				t.Errorf("got\n%s\nwant\n%s", g, w)
			}
			if err.Error() != strings.Join(got, "\n") {
				t.Errorf("error is not its problems, one a line: %v", err)
			}
		})
	}
}

func TestLoad_GoodSet(t *testing.T) {
	b, err := knowledge.Load(good(t))
	if err != nil {
		t.Fatal(err)
	}
	f, _ := b.Family("kettle")
	i, _ := f.FaultIndex("element_open")
	got := f.Faults[i]
	if f.Parts[got.Part].Kind != "element" || f.Parts[got.AlsoParts[0]].Kind != "seal" || got.Wear != knowledge.WearOut ||
		got.Hazard != knowledge.Isolated || got.Cautions[0] != "Unplug and prove dead." || got.Source != "own" {
		t.Errorf("element_open read as %+v", got)
	}
	if p := f.Access[got.Access].Parent; p != 0 {
		t.Errorf("parent of base is %d", p)
	}
	if !strings.HasPrefix(b.Version, "test.1+") || len(b.Version) != len("test.1+")+8 {
		t.Errorf("version %q", b.Version)
	}
}
