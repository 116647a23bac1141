package wording

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"onevisit/diagnosis/gist"
)

// ErrLexicon is wrapped by every error of [Load] that the files themselves
// cause.
var ErrLexicon = errors.New("wording: bad lexicon")

// Problem is one thing wrong in a lexicon file. Line and Column count from 1.
type Problem struct {
	File         string
	Line, Column int
	Text         string
}

func (p Problem) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Text)
}

// maxFileBytes bounds one lexicon file.
const maxFileBytes = 1 << 20

// Load reads every .yaml file at the top of fsys as one lexicon and checks it
// against codes. All problems are reported at once, sorted by file and line; the
// error wraps [ErrLexicon] and each [Problem]. Files may hold any of the
// sections in any order; lists of the same name are joined.
func Load(fsys fs.FS, codes Codes) (*Lexicon, error) {
	ld := &loader{
		codes: codes, lex: &Lexicon{vocab: newVocab(), trie: newTrie(), families: map[string]*family{}},
		names: map[string]int16{}, groups: map[string]bitset{},
		hazards: map[string]int16{},
	}
	names, err := fs.Glob(fsys, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrLexicon, err)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%w: no .yaml file", ErrLexicon)
	}
	for _, n := range names {
		raw, err := fs.ReadFile(fsys, n)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrLexicon, err)
		}
		ld.file(n, raw)
	}
	if len(ld.problems) == 0 {
		ld.build()
	}
	if len(ld.problems) == 0 {
		ld.models(fsys)
	}
	if len(ld.problems) > 0 {
		slices.SortStableFunc(ld.problems, func(a, b Problem) int {
			return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
		})
		errs := []error{ErrLexicon}
		for _, p := range ld.problems {
			errs = append(errs, p)
		}
		return nil, errors.Join(errs...)
	}
	ld.lex.pool.New = func() any { return new(scratch) }
	return ld.lex, nil
}

// models reads the trained models beside the files of each family, if they are
// there: FAMILY.gist of phrases, FAMILY.calls.gist of whole calls.
func (ld *loader) models(fsys fs.FS) {
	ld.lex.vocab.nameStems()
	for code, f := range ld.lex.families {
		if m := ld.model(fsys, code+".gist"); m != nil {
			f.adopt(m)
		}
		f.calls = ld.model(fsys, code+".calls.gist")
	}
}

func (ld *loader) model(fsys fs.FS, name string) *gist.Model {
	raw, err := fs.ReadFile(fsys, name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil {
		var m *gist.Model
		if m, err = gist.Read(raw); err == nil {
			return m
		}
	}
	ld.problems = append(ld.problems, Problem{File: name, Line: 1, Column: 1, Text: err.Error()})
	return nil
}

// entry is a key with its value and where it stands.
type entry struct {
	file string
	key  *yaml.Node
	val  *yaml.Node
}

// loader gathers sections of all files first, since terms and patterns may
// refer to what stands in another file.
type loader struct {
	codes    Codes
	lex      *Lexicon
	problems []Problem
	sections map[string][]entry // top-level section → occurrences, except of family files
	famFiles []famFile
	names    map[string]int16 // concept names
	groups   map[string]bitset
	where    []entry // by concept: where it was defined
	hazards  map[string]int16
}

type famFile struct {
	families []string
	sections map[string]entry
}

func (ld *loader) fail(file string, n *yaml.Node, format string, args ...any) {
	line, col := 1, 1
	if n != nil {
		line, col = max(n.Line, 1), max(n.Column, 1)
	}
	ld.problems = append(ld.problems, Problem{file, line, col, fmt.Sprintf(format, args...)})
}

var (
	globalSections = []string{"settings", "strengths", "irregular", "fixed", "contractions", "grammar",
		"common", "concepts", "groups", "never_own", "hazards", "hazards_asked", "hazards_heard"}
	familySections = []string{"families", "own", "no_danger", "findings", "asked", "parts", "combine"}
)

// file parses one file into sections.
func (ld *loader) file(name string, raw []byte) {
	if len(raw) > maxFileBytes {
		ld.fail(name, nil, "file has %d bytes; at most %d", len(raw), maxFileBytes)
		return
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(raw, &doc); err != nil {
		ld.fail(name, nil, "not YAML: %v", err)
		return
	}
	if len(doc.Content) == 0 {
		return
	}
	ff := famFile{sections: map[string]entry{}}
	for _, e := range ld.mapping(name, doc.Content[0], "the file") {
		k := e.key.Value
		switch {
		case slices.Contains(globalSections, k):
			if ld.sections == nil {
				ld.sections = map[string][]entry{}
			}
			ld.sections[k] = append(ld.sections[k], e)
		case slices.Contains(familySections, k):
			ff.sections[k] = e
		default:
			ld.fail(name, e.key, "unknown section %q; allowed: %s", k,
				strings.Join(slices.Concat(globalSections, familySections), ", "))
		}
	}
	if len(ff.sections) == 0 {
		return
	}
	fams, ok := ff.sections["families"]
	if !ok {
		ld.fail(name, doc.Content[0], "findings, parts and the like need a section families")
		return
	}
	for _, n := range ld.list(name, fams.val) {
		if _, ok := ld.codes.Families[n.Value]; !ok {
			ld.fail(name, n, "unknown family %q", n.Value)
			continue
		}
		ff.families = append(ff.families, n.Value)
	}
	ld.famFiles = append(ld.famFiles, ff)
}

// mapping returns the entries of a mapping and refuses repeated keys, aliases
// and other kinds.
func (ld *loader) mapping(file string, n *yaml.Node, what string) []entry {
	if n.Kind != yaml.MappingNode {
		ld.fail(file, n, "%s must be a mapping", what)
		return nil
	}
	seen := map[string]bool{}
	var out []entry
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		if k.Kind != yaml.ScalarNode {
			ld.fail(file, k, "a key must be a word")
			continue
		}
		if seen[k.Value] {
			ld.fail(file, k, "key %q is there twice", k.Value)
			continue
		}
		seen[k.Value] = true
		out = append(out, entry{file, k, n.Content[i+1]})
	}
	return out
}

// list returns the scalars of a list, or one scalar as a list of one.
func (ld *loader) list(file string, n *yaml.Node) []*yaml.Node {
	if n.Kind == yaml.ScalarNode {
		return []*yaml.Node{n}
	}
	if n.Kind != yaml.SequenceNode {
		ld.fail(file, n, "must be a list")
		return nil
	}
	var out []*yaml.Node
	for _, c := range n.Content {
		if c.Kind != yaml.ScalarNode {
			ld.fail(file, c, "must be a word or phrase")
			continue
		}
		out = append(out, c)
	}
	return out
}

// each calls f for every entry of every occurrence of a global mapping section.
func (ld *loader) each(section string, f func(entry)) {
	for _, e := range ld.sections[section] {
		for _, x := range ld.mapping(e.file, e.val, section) {
			f(x)
		}
	}
}

// eachItem calls f for every scalar of every occurrence of a list section.
func (ld *loader) eachItem(section string, f func(file string, n *yaml.Node)) {
	for _, e := range ld.sections[section] {
		for _, n := range ld.list(e.file, e.val) {
			f(e.file, n)
		}
	}
}

func (ld *loader) number(e entry, lo, hi float64) float64 {
	x, err := strconv.ParseFloat(e.val.Value, 64)
	if err != nil || !(x >= lo && x <= hi) {
		ld.fail(e.file, e.val, "%s is %q; must be a number from %v to %v", e.key.Value, e.val.Value, lo, hi)
	}
	return x
}

// build turns the sections into the lexicon, in order of dependence.
func (ld *loader) build() {
	ld.settings()
	ld.concepts()
	ld.words()
	if len(ld.problems) > 0 {
		return
	}
	ld.hazardPatterns()
	for _, ff := range ld.famFiles {
		for _, code := range ff.families {
			ld.familyFile(ff, code)
		}
	}
	ld.hazardsHeard()
	ld.lex.hazards.index(len(ld.lex.concepts))
	for _, f := range ld.lex.families {
		f.patterns.index(len(ld.lex.concepts))
		if f.partsOf == nil {
			f.partsOf = make([][]int16, len(ld.lex.concepts))
		}
	}
	ld.unused()
}

func (ld *loader) settings() {
	l, v := ld.lex, ld.lex.vocab
	ld.each("settings", func(e entry) {
		switch e.key.Value {
		case "stemmer":
			v.language = e.val.Value
		case "window":
			l.window = int(ld.number(e, 1, 20))
		case "learned_least":
			l.learnedLeast = ld.number(e, 0.01, 1)
		case "likeness_power":
			l.likenessPower = ld.number(e, 0, 1)
		case "likeness_most":
			l.likenessMost = ld.number(e, 1, 1e6)
		case "learned_sure":
			l.learnedSure = ld.number(e, 0.01, 1)
		case "hazard_least":
			l.hazardLeast = ld.number(e, 1, 1000)
		case "learned_most":
			l.learnedMost = ld.number(e, 1, 1000)
		case "infinitive":
			l.infinitive = e.val.Value
		case "gerund":
			v.gerund = e.val.Value
		case "one_edit":
			v.minOne = int(ld.number(e, 3, 20))
		case "two_edits":
			v.minTwo = int(ld.number(e, 4, 20))
		case "inflections":
			for _, n := range ld.list(e.file, e.val) {
				var r inflection
				r.add, r.drop, _ = strings.Cut(n.Value, "/")
				r.add, r.double = strings.CutPrefix(r.add, "+")
				v.rules = append(v.rules, r)
			}
		default:
			ld.fail(e.file, e.key, "unknown setting %q", e.key.Value)
		}
	})
	fields := l.strengths.fields()
	ld.each("strengths", func(e entry) {
		p, ok := fields[e.key.Value]
		if !ok {
			ld.fail(e.file, e.key, "unknown strength %q", e.key.Value)
			return
		}
		*p = ld.number(e, 0.01, 1000)
		delete(fields, e.key.Value)
	})
	for name := range fields {
		ld.fail("language.yaml", nil, "strengths: %s is missing", name)
	}
	if v.language == "" || l.window == 0 || v.minOne == 0 || v.minTwo == 0 {
		ld.fail("language.yaml", nil, "settings: stemmer, window, one_edit and two_edits are required")
	}
}

// concepts enters names and groups, without terms.
func (ld *loader) concepts() {
	ld.each("concepts", func(byRole entry) {
		r, ok := roleNames[byRole.key.Value]
		if !ok {
			ld.fail(byRole.file, byRole.key, "unknown role %q", byRole.key.Value)
			return
		}
		for _, e := range ld.mapping(byRole.file, byRole.val, byRole.key.Value) {
			name := e.key.Value
			if _, ok := ld.names[name]; ok {
				ld.fail(e.file, e.key, "concept %q is defined twice", name)
				continue
			}
			if len(ld.lex.concepts) >= maxConcepts {
				ld.fail(e.file, e.key, "more than %d concepts", maxConcepts)
				return
			}
			id := int16(len(ld.lex.concepts))
			ld.names[name] = id
			ld.lex.concepts = append(ld.lex.concepts, concept{name: name, role: r})
			ld.where = append(ld.where, e)
			if r == roleSeen {
				ld.lex.seen.set(id)
			}
		}
	})
	ld.each("groups", func(e entry) {
		var set bitset
		for _, n := range ld.list(e.file, e.val) {
			one, ok := ld.lookup(n.Value)
			if !ok {
				ld.fail(e.file, n, "unknown concept %q", n.Value)
			}
			set.union(&one)
		}
		if _, ok := ld.lookup(e.key.Value); ok {
			ld.fail(e.file, e.key, "group %q is a concept or group already", e.key.Value)
		}
		ld.groups[e.key.Value] = set
	})
	ld.eachItem("never_own", func(file string, n *yaml.Node) {
		set, ok := ld.lookup(n.Value)
		if !ok {
			ld.fail(file, n, "unknown concept %q", n.Value)
		}
		ld.lex.never.union(&set)
	})
}

// lookup finds a concept or a group and marks it as used.
func (ld *loader) lookup(name string) (bitset, bool) {
	var set bitset
	if g, ok := ld.groups[name]; ok {
		return g, true
	}
	id, ok := ld.names[name]
	if !ok {
		return set, false
	}
	ld.lex.concepts[id].used = true
	set.set(id)
	return set, true
}

// unused reports concepts that nothing speaks of; cues of the engine's own
// roles are exempt.
func (ld *loader) unused() {
	for i, c := range ld.lex.concepts {
		switch c.role {
		case roleComponent, roleFunction, roleAnomaly, roleContext, roleMachine:
			if !c.used {
				e := ld.where[i]
				ld.fail(e.file, e.key, "concept %q is not used by any pattern, part or group", c.name)
			}
		}
	}
}

// nearest returns a hint with the nearest of the known names.
func nearest(name string, known []string) string {
	best, bestD := "", 4
	for _, k := range known {
		if d := distance(name, k, bestD-1); d < bestD {
			best, bestD = k, d
		}
	}
	if best == "" {
		return ""
	}
	return "; did you mean " + strconv.Quote(best) + "?"
}
