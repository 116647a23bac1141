// Package sheet reads the YAML files of the pricing rooms strictly: an unknown
// or repeated key is an error, and every error names file and line.
//
// Start from Read and Sheet.Fail. The package must not know what the files
// say. Worked number: a key "volage" on the third line of rules.yaml gives
// "rules.yaml:3: field volage not found".
package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"strings"

	"go.yaml.in/yaml/v3"
)

// ErrInvalid is wrapped by every error about a file's content.
var ErrInvalid = errors.New("invalid file")

// Sheet is a decoded file that still knows its lines.
type Sheet struct {
	name string
	root yaml.Node
}

var (
	lineError = regexp.MustCompile(`^(?:yaml: )?line (\d+): (.*)$`)
	goType    = regexp.MustCompile(` (?:not found )?in type \S+`)
)

// Read decodes the single document of a file into the value, refusing keys the
// value does not know. A missing or unreadable file is the file system's error;
// every other error wraps ErrInvalid.
func Read(fsys fs.FS, name string, into any) (*Sheet, error) {
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	s := &Sheet{name: name}
	if err := yaml.Unmarshal(data, &s.root); err != nil {
		return nil, s.explain(err)
	}
	d := yaml.NewDecoder(bytes.NewReader(data))
	d.KnownFields(true)
	if err := d.Decode(into); err != nil {
		return nil, s.explain(err)
	}
	if err := d.Decode(new(yaml.Node)); !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s:1: %w: more than one document", name, ErrInvalid)
	}
	return s, nil
}

// explain turns the library's errors into file:line: text, one per line.
func (s *Sheet) explain(err error) error {
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("%s:1: %w: empty", s.name, ErrInvalid)
	}
	texts := []string{err.Error()}
	if te := (*yaml.TypeError)(nil); errors.As(err, &te) {
		texts = te.Errors
	}
	var all []error
	for _, text := range texts {
		line := "1"
		if m := lineError.FindStringSubmatch(text); m != nil {
			line, text = m[1], m[2]
		}
		text = goType.ReplaceAllStringFunc(text, func(m string) string {
			if strings.Contains(m, "not found") {
				return " not known here"
			}
			return ""
		})
		all = append(all, fmt.Errorf("%s:%s: %w: %s", s.name, line, ErrInvalid, text))
	}
	return errors.Join(all...)
}

// Fail returns an error about the value at a path of keys and indexes, with
// its line; where the path ends early, the line of the deepest part found.
func (s *Sheet) Fail(path []any, format string, args ...any) error {
	return fmt.Errorf("%s:%d: %w: %s", s.name, s.line(path), ErrInvalid, fmt.Sprintf(format, args...))
}

func (s *Sheet) line(path []any) int {
	node, line := &s.root, 1
	if node.Kind == yaml.DocumentNode && len(node.Content) > 0 {
		node = node.Content[0]
	}
	for _, step := range path {
		next := (*yaml.Node)(nil)
		switch key := step.(type) {
		case string:
			for i := 0; node.Kind == yaml.MappingNode && i+1 < len(node.Content); i += 2 {
				if node.Content[i].Value == key {
					line, next = node.Content[i].Line, node.Content[i+1]
				}
			}
		case int:
			if node.Kind == yaml.SequenceNode && key < len(node.Content) {
				next = node.Content[key]
				line = next.Line
			}
		}
		if next == nil {
			return line
		}
		node = next
	}
	return line
}
