package knowledge

import (
	"crypto/sha256"
	"embed"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"
)

//go:embed data
var embedded embed.FS

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
