package sheet_test

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"onevisit/pricing/internal/sheet"
)

type book struct {
	Name  string         `yaml:"name"`
	Pages map[string]int `yaml:"pages"`
	Notes []struct {
		Text string `yaml:"text"`
	} `yaml:"notes"`
}

func read(text string) (*sheet.Sheet, error) {
	return sheet.Read(fstest.MapFS{"b.yaml": {Data: []byte(text)}}, "b.yaml", new(book))
}

func TestRead_Errors(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"name: a\nnmae: b\n", "b.yaml:2: invalid file: field nmae not known here"},
		{"name: a\nname: b\n", "b.yaml:2: invalid file: mapping key \"name\" already defined at line 1"},
		{"pages:\n  a: many\n", "b.yaml:2: invalid file: cannot unmarshal"},
		{"name: [\n", "b.yaml:"},
		{"", "b.yaml:1: invalid file: empty"},
		{"name: a\n---\nname: b\n", "more than one document"},
	} {
		if _, err := read(c.text); !errors.Is(err, sheet.ErrInvalid) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.text, err, c.want)
		}
	}
	if _, err := sheet.Read(fstest.MapFS{}, "b.yaml", new(book)); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("missing file: %v", err)
	}
}

func TestFail_Line(t *testing.T) {
	s, err := read("name: a\npages:\n  x: 1\n  y: 2\nnotes:\n  - text: one\n  - text: two\n")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path []any
		want string
	}{
		{[]any{"name"}, "b.yaml:1:"}, {[]any{"pages", "y"}, "b.yaml:4:"}, {[]any{"notes", 1, "text"}, "b.yaml:7:"},
		{[]any{"notes", 9}, "b.yaml:5:"}, {[]any{"pages", "z"}, "b.yaml:2:"}, {nil, "b.yaml:1:"},
	} {
		if err := s.Fail(c.path, "bad %d", 7); !strings.HasPrefix(err.Error(), c.want) || !strings.HasSuffix(err.Error(), "bad 7") {
			t.Errorf("%v: %v, want %s", c.path, err, c.want)
		}
	}
}
