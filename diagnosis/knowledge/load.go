package knowledge

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"go.yaml.in/yaml/v3"
)

//go:embed data
var embedded embed.FS

const (
	maxFile     = 1 << 20 // bytes of one file
	maxFamilies = 64
)

// Load reads a whole set of knowledge: version.yaml, terms.yaml and
// hazards.yaml at the top of fsys and one folder for each family. Folders that
// hold no file of a family are left alone.
//
// The error joins one [Problem] for each thing that is wrong, in order of file
// and line, and wraps [ErrInvalid]. Load does not keep fsys.
func Load(fsys fs.FS) (*Base, error) {
	r := &report{}
	t := gather(fsys, "", r)
	return t.build(r)
}

// LoadOver is [Load] with an expert's folder laid over a base: a family in over
// replaces the whole family of the same name or adds one, and a file at the top
// of over replaces that file. Problems in base are told from those in over by
// the prefix "base/" of their file.
func LoadOver(base, over fs.FS) (*Base, error) {
	r := &report{}
	t := gather(base, "base/", r)
	o := gather(over, "", r)
	for name, f := range o.top {
		t.top[name] = f
	}
	for code, files := range o.families {
		t.families[code] = files
	}
	return t.build(r)
}

// Default returns the knowledge that comes with the program. It is read once;
// every caller gets the same read-only Base.
func Default() (*Base, error) { return loadDefault() }

var loadDefault = sync.OnceValues(func() (*Base, error) { return Load(Embedded()) })

// Embedded returns the files that come with the program, as a starting point
// for an expert's own folder and as the base for [LoadOver].
func Embedded() fs.FS {
	sub, err := fs.Sub(embedded, "data")
	if err != nil {
		panic(err) // cannot happen: "data" is a valid path and is embedded
	}
	return sub
}

// Verify reports everything wrong with a set of knowledge, in order of file and
// line; nil when it is good. With over it is checked as [LoadOver] would load
// it; over may be nil.
func Verify(base, over fs.FS) []Problem {
	load := func() (*Base, error) { return Load(base) }
	if over != nil {
		load = func() (*Base, error) { return LoadOver(base, over) }
	}
	_, err := load()
	return Problems(err)
}

// Problems returns the problems joined in an error of [Load] or [LoadOver], nil
// for a nil error or one of another origin.
func Problems(err error) []Problem {
	var p Problem
	if errors.As(err, &p) {
		if joined, ok := err.(interface{ Unwrap() []error }); ok {
			var out []Problem
			for _, e := range joined.Unwrap() {
				out = append(out, Problems(e)...)
			}
			return out
		}
		return []Problem{p}
	}
	return nil
}

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
			t.top[name] = read(fsys, prefix, name, r)
		}
	}
	strangers(t.top, topFiles, prefix, r)
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
	for name := range files {
		files[name] = read(fsys, prefix, path.Join(folder, name), r)
	}
	strangers(files, familyFiles, prefix+folder+"/", r)
	for _, f := range familyFiles {
		if files[f.name] == nil {
			r.add(prefix+path.Join(folder, f.name), 0, 0, "file is missing: a family needs %s", strings.Join(fileNames(familyFiles), ", "))
			files[f.name] = &file{}
		}
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

// read reads, parses and checks the shape of one file. It never returns nil.
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
	if s == nil {
		return out // a stranger, reported by the caller
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

// build understands the tree, or returns everything that is wrong.
func (t *tree) build(r *report) (*Base, error) {
	b := &Base{}
	var words terms
	topOK := true
	for _, f := range topFiles {
		if got := t.top[f.name]; got == nil {
			r.add(f.name, 0, 0, "file is missing: it holds %s", strings.ToLower(f.shape.doc))
			topOK = false
		} else {
			topOK = topOK && got.ok
		}
	}
	if topOK {
		words = buildTerms(b, t.top[termsFile], r)
		b.Hazards = buildHazards(t.top[hazardsFile], r)
	}
	codes := make([]string, 0, len(t.families))
	for code := range t.families {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		good := topOK
		for _, f := range t.families[code] {
			good = good && f.ok
		}
		if good { // otherwise the references would only repeat what is reported
			b.Families = append(b.Families, buildFamily(code, t.families[code], words, r))
		}
	}
	if len(codes) == 0 {
		r.add(".", 0, 0, "no family: a family is a folder with %s", strings.Join(fileNames(familyFiles), ", "))
	}
	if problems := r.sorted(); len(problems) > 0 {
		return nil, join(problems)
	}
	b.Version = object{n: t.top[versionFile].root}.text("version") + "+" + t.hash()
	b.buildIndex()
	return b, nil
}

// hash returns the first eight hex digits of a digest over names and contents
// of all files in force.
func (t *tree) hash() string {
	all := map[string][]byte{}
	for name, f := range t.top {
		all[name] = f.data
	}
	for code, files := range t.families {
		for name, f := range files {
			all[code+"/"+name] = f.data
		}
	}
	names := make([]string, 0, len(all))
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	h := sha256.New()
	for _, name := range names {
		fmt.Fprintf(h, "%s\x00", name)
		var size [8]byte
		binary.BigEndian.PutUint64(size[:], uint64(len(all[name])))
		h.Write(size[:])
		h.Write(all[name])
	}
	return hex.EncodeToString(h.Sum(nil)[:4])
}
