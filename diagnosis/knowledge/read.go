package knowledge

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"path"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

const (
	maxFile     = 1 << 20 // bytes of one file
	maxFamilies = 64
)

// file is one file as read.
type file struct {
	shown string // path as shown in messages
	data  []byte
	root  *yaml.Node // nil when it could not be parsed
	ok    bool       // parsed and of the right shape
}

// tree is a set of knowledge before it is understood.
type tree struct {
	top      map[string]*file
	families map[string]map[string]*file
}

// gather reads the files of one folder. prefix goes before paths in messages.
func gather(fsys fs.FS, prefix string, r *report) *tree {
	t := &tree{top: map[string]*file{}, families: map[string]map[string]*file{}}
	if fsys == nil {
		r.add(prefix+".", 0, 0, "no folder given")
		return t
	}
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		r.add(prefix+".", 0, 0, "folder cannot be read: %v", err)
		return t
	}
	for _, e := range entries {
		name := e.Name()
		switch {
		case e.IsDir():
			t.gatherFamily(fsys, prefix, name, r)
		case isYAML(name):
			t.top[name] = nil
		}
	}
	strangers(t.top, topFiles, prefix, r)
	for name := range t.top {
		t.top[name] = read(fsys, prefix, name, r)
	}
	return t
}

func (t *tree) gatherFamily(fsys fs.FS, prefix, folder string, r *report) {
	entries, err := fs.ReadDir(fsys, folder)
	if err != nil {
		r.add(prefix+folder, 0, 0, "folder cannot be read: %v", err)
		return
	}
	files := map[string]*file{}
	isFamily := false
	for _, e := range entries {
		if e.IsDir() || !isYAML(e.Name()) {
			continue
		}
		isFamily = isFamily || shapeOf(familyFiles, e.Name()) != nil
		files[e.Name()] = nil
	}
	if !isFamily {
		return // a folder of another room, such as the words of a language
	}
	if !codePattern.MatchString(folder) {
		r.add(prefix+folder, 0, 0, "the name of a family's folder must be a code of lower-case letters, digits and _")
		return
	}
	if len(t.families) == maxFamilies {
		r.add(prefix+folder, 0, 0, "more than %d families", maxFamilies)
		return
	}
	strangers(files, familyFiles, prefix+folder+"/", r)
	for name := range files {
		files[name] = read(fsys, prefix, path.Join(folder, name), r)
	}
	var missing []string
	for _, f := range familyFiles {
		if files[f.name] == nil {
			missing = append(missing, f.name)
			files[f.name] = &file{}
		}
	}
	if len(missing) > 0 {
		r.add(prefix+folder, 0, 0, "%s missing: a family needs %s", strings.Join(missing, ", "), strings.Join(fileNames(familyFiles), ", "))
	}
	t.families[folder] = files
}

func isYAML(name string) bool {
	return strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".yml")
}

// strangers reports and drops files that nothing would read: a slip in a file's
// name must not lose its content in silence.
func strangers(files map[string]*file, known []fileShape, prefix string, r *report) {
	for name := range files {
		if shapeOf(known, name) == nil {
			names := fileNames(known)
			r.add(prefix+name, 0, 0, "unknown file%s: known here are %s", nearest(name, names), strings.Join(names, ", "))
			delete(files, name)
		}
	}
}

func shapeOf(files []fileShape, name string) *shape {
	for i := range files {
		if files[i].name == name {
			return &files[i].shape
		}
	}
	return nil
}

func fileNames(files []fileShape) []string {
	out := make([]string, len(files))
	for i := range files {
		out[i] = files[i].name
	}
	return out
}

// read reads, parses and checks the shape of one known file. It never returns
// nil.
func read(fsys fs.FS, prefix, name string, r *report) *file {
	out := &file{shown: prefix + name}
	f, err := fsys.Open(name)
	if err != nil {
		r.add(out.shown, 0, 0, "file cannot be opened: %v", err)
		return out
	}
	defer f.Close()
	out.data, err = io.ReadAll(io.LimitReader(f, maxFile+1))
	switch {
	case err != nil:
		r.add(out.shown, 0, 0, "file cannot be read: %v", err)
		return out
	case len(out.data) > maxFile:
		r.add(out.shown, 0, 0, "file is larger than %d bytes", maxFile)
		return out
	}
	out.root = parse(out.shown, out.data, r)
	if out.root == nil {
		return out
	}
	s := shapeOf(topFiles, path.Base(name))
	if strings.Contains(name, "/") {
		s = shapeOf(familyFiles, path.Base(name))
	}
	before := len(r.problems) + r.dropped
	(&checker{file: out.shown, r: r}).check(out.root, s, "the file")
	out.ok = len(r.problems)+r.dropped == before
	return out
}

var yamlLine = regexp.MustCompile(`line (\d+): `)

// parse returns the one document of a file, nil after reporting why not.
func parse(shown string, data []byte, r *report) *yaml.Node {
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, more yaml.Node
	if err := dec.Decode(&doc); err != nil {
		if errors.Is(err, io.EOF) {
			r.add(shown, 1, 1, "file is empty")
			return nil
		}
		reportYAML(shown, err, r)
		return nil
	}
	if err := dec.Decode(&more); err == nil {
		r.add(shown, max(more.Line, 1), max(more.Column, 1), "a second document begins here: one file holds one document")
		return nil
	} else if !errors.Is(err, io.EOF) {
		reportYAML(shown, err, r)
		return nil
	}
	if doc.Kind != yaml.DocumentNode || len(doc.Content) != 1 {
		r.add(shown, 1, 1, "file is empty")
		return nil
	}
	return doc.Content[0]
}

// reportYAML turns "yaml: line 3: what" into a place and a message. The parser
// gives no column.
func reportYAML(shown string, err error, r *report) {
	msg, line := strings.TrimPrefix(err.Error(), "yaml: "), 1
	if m := yamlLine.FindStringSubmatchIndex(msg); m != nil {
		if n, err := strconv.Atoi(msg[m[2]:m[3]]); err == nil {
			line, msg = n, msg[:m[0]]+msg[m[1]:]
		}
	}
	r.add(shown, line, 1, "not YAML: %s", short(msg))
}
