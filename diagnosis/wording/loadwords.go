package wording

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// words enters the vocabulary, the grammar classes and the terms of concepts.
func (ld *loader) words() {
	v := ld.lex.vocab
	ld.each("irregular", func(e entry) {
		v.irregular[clean(e.key.Value)] = clean(e.val.Value)
	})
	ld.eachItem("fixed", func(_ string, n *yaml.Node) { v.fixed[clean(n.Value)] = true })
	ld.each("grammar", func(e entry) {
		cls, ok := classNames[e.key.Value]
		if !ok {
			ld.fail(e.file, e.key, "unknown class %q", e.key.Value)
			return
		}
		for _, n := range ld.list(e.file, e.val) {
			id := v.add(clean(n.Value))
			v.words[id].classes |= cls
		}
	})
	for id := range ld.where {
		ld.terms(int16(id))
	}
	for form := range v.irregular {
		id := v.add(form)
		if base, ok := v.surfaces[v.irregular[form]]; ok {
			v.words[id].term = v.words[id].term || v.words[base].term
		}
	}
	// Ordinary words keep repair from turning them into something else.
	ld.eachItem("common", func(_ string, n *yaml.Node) {
		for _, w := range strings.Fields(n.Value) {
			v.add(clean(w))
		}
	})
	v.inflect()
	ld.each("contractions", func(e entry) {
		form := clean(e.key.Value)
		var exp []int32
		for _, w := range strings.Fields(e.val.Value) {
			exp = append(exp, v.add(clean(w)))
		}
		if len(exp) == 0 {
			ld.fail(e.file, e.val, "contraction %q stands for nothing", form)
			return
		}
		id := v.add(form)
		v.words[id].expand = exp
		v.words[id].term = true
	})
	v.index()
}

func clean(s string) string { return string(normalise(nil, s)) }

// terms enters the terms of one concept into the trie. A leading "=" on a word
// asks for that very form, a leading "+" on the term leaves shorter terms
// inside it visible, "~" hides them in a circumstance too, "<n>" is any number.
func (ld *loader) terms(id int16) {
	e := ld.where[id]
	v := ld.lex.vocab
	nodes := ld.list(e.file, e.val)
	if len(nodes) == 0 {
		ld.fail(e.file, e.key, "concept %q has no terms", e.key.Value)
	}
	for _, n := range nodes {
		term, keep := strings.CutPrefix(n.Value, "+")
		term, hide := strings.CutPrefix(term, "~")
		// A circumstance never hides what happens in it: "when it heats" is heat.
		keep = keep || ld.lex.concepts[id].role == roleContext && !hide
		fields := strings.Fields(term)
		if len(fields) == 0 || len(fields) > maxTerm {
			ld.fail(e.file, n, "term %q must have 1 to %d words", n.Value, maxTerm)
			continue
		}
		var seq []elem
		for _, w := range fields {
			if w == "<n>" {
				seq = append(seq, numberElem)
				continue
			}
			w, exact := strings.CutPrefix(w, "=")
			s := v.add(clean(w))
			v.words[s].term = true
			if exact {
				seq = append(seq, surfElem(s))
			} else {
				seq = append(seq, stemElem(v.words[s].stem))
			}
		}
		ld.lex.trie.insert(seq, accept{concept: id, keep: keep})
	}
}

func (ld *loader) hazardPatterns() {
	l := ld.lex
	ld.each("hazards", func(e entry) {
		if !slices.Contains(ld.codes.Hazards, e.key.Value) {
			ld.fail(e.file, e.key, "unknown hazard %q%s", e.key.Value, nearest(e.key.Value, ld.codes.Hazards))
			return
		}
		code, ok := ld.hazards[e.key.Value]
		if !ok {
			code = int16(len(l.hazardCodes))
			ld.hazards[e.key.Value] = code
			l.hazardCodes = append(l.hazardCodes, e.key.Value)
		}
		ld.patterns(e, code, &l.hazards)
	})
	asked := map[string]bool{}
	ld.eachItem("hazards_asked", func(_ string, n *yaml.Node) { asked[n.Value] = true })
	for _, h := range ld.codes.Hazards {
		if _, ok := ld.hazards[h]; !ok && !asked[h] {
			ld.fail("hazards.yaml", nil, "hazard %q has no pattern and is not listed in hazards_asked", h)
		}
	}
}

// hazardsHeard reads "hazard: [findings]": findings that amount to the hazard,
// however they were heard. Each must be a finding of at least one family.
func (ld *loader) hazardsHeard() {
	l := ld.lex
	ld.each("hazards_heard", func(e entry) {
		code, ok := ld.hazards[e.key.Value]
		if !ok {
			ld.fail(e.file, e.key, "hazard %q has no section in hazards", e.key.Value)
			return
		}
		for _, n := range ld.list(e.file, e.val) {
			known := false
			for name, f := range l.families {
				if !slices.Contains(ld.codes.Families[name].Findings, n.Value) {
					continue
				}
				known = true
				if f.dangers == nil {
					f.dangers = map[string]int16{}
				}
				if _, twice := f.dangers[n.Value]; twice {
					ld.fail(e.file, n, "finding %q amounts to two hazards", n.Value)
					break
				}
				f.dangers[n.Value] = code
			}
			if !known {
				ld.fail(e.file, n, "no family has finding %q", n.Value)
			}
		}
	})
}

// patterns parses the patterns of one finding or hazard into set.
func (ld *loader) patterns(e entry, code int16, set *patternSet) {
	nodes := ld.list(e.file, e.val)
	if len(nodes) == 0 {
		ld.fail(e.file, e.key, "%q has no patterns", e.key.Value)
	}
	for _, n := range nodes {
		p, err := parsePattern(n.Value, ld.lookup)
		if err != nil {
			ld.fail(e.file, n, "%v", err)
			continue
		}
		p.code = code
		set.list = append(set.list, p)
	}
}

// familyFile enters one family's part of a file.
func (ld *loader) familyFile(ff famFile, code string) {
	l := ld.lex
	known := ld.codes.Families[code]
	f := l.families[code]
	if f == nil {
		f = &family{index: map[string]int16{}, askOnly: map[string]bool{}, partsOf: make([][]int16, len(l.concepts))}
		for _, c := range known.Findings {
			f.add(c, false)
		}
		l.families[code] = f
	}
	finding := func(file string, n *yaml.Node, name string) (int16, bool) {
		if i, ok := f.index[name]; ok {
			return i, true
		}
		if strings.HasPrefix(name, "_") {
			return f.add(name, true), true
		}
		ld.fail(file, n, "unknown finding %q of %s%s", name, code, nearest(name, known.Findings))
		return 0, false
	}
	if e, ok := ff.sections["own"]; ok {
		for _, n := range ld.list(e.file, e.val) {
			set, ok := ld.lookup(n.Value)
			if !ok {
				ld.fail(e.file, n, "unknown concept %q", n.Value)
			}
			f.own.union(&set)
		}
	}
	if e, ok := ff.sections["no_danger"]; ok {
		for _, n := range ld.list(e.file, e.val) {
			set, ok := ld.lookup(n.Value)
			if !ok {
				ld.fail(e.file, n, "unknown concept %q", n.Value)
			}
			f.calm.union(&set)
		}
	}
	if e, ok := ff.sections["findings"]; ok {
		for _, x := range ld.mapping(e.file, e.val, "findings") {
			if i, ok := finding(x.file, x.key, x.key.Value); ok {
				ld.patterns(x, i, &f.patterns)
				f.spoken[i] = true
			}
		}
	}
	if e, ok := ff.sections["asked"]; ok {
		for _, n := range ld.list(e.file, e.val) {
			if _, ok := finding(e.file, n, n.Value); ok {
				f.askOnly[n.Value] = true
			}
		}
	}
	if e, ok := ff.sections["parts"]; ok {
		for _, x := range ld.mapping(e.file, e.val, "parts") {
			ld.part(f, known, x)
		}
	}
	if e, ok := ff.sections["combine"]; ok {
		ld.combinations(f, e, finding)
	}
}

func (f *family) add(code string, internal bool) int16 {
	i := int16(len(f.codes))
	f.codes = append(f.codes, code)
	f.index[code] = i
	f.internal = append(f.internal, internal)
	f.spoken = append(f.spoken, false)
	return i
}

// part reads "part_kind: [concepts]", with "visible" as an extra word for parts
// that can be seen from outside.
func (ld *loader) part(f *family, known FamilyCodes, x entry) {
	if !slices.Contains(known.Parts, x.key.Value) {
		ld.fail(x.file, x.key, "unknown part kind %q%s", x.key.Value, nearest(x.key.Value, known.Parts))
		return
	}
	p := int16(len(f.parts))
	f.parts = append(f.parts, part{kind: x.key.Value})
	for _, n := range ld.list(x.file, x.val) {
		if n.Value == "visible" {
			f.parts[p].visible = true
			continue
		}
		set, ok := ld.lookup(n.Value)
		if !ok {
			ld.fail(x.file, n, "unknown concept %q", n.Value)
			continue
		}
		for c := range ld.lex.concepts {
			if set.has(int16(c)) {
				f.partsOf[c] = append(f.partsOf[c], p)
			}
		}
	}
}

// combinations reads "finding: [+a, -b, !c]": the finding follows when a was
// said present, b absent, and c was not said present. A key may start with "-"
// when the finding follows as absent.
func (ld *loader) combinations(f *family, e entry, finding func(string, *yaml.Node, string) (int16, bool)) {
	if e.val.Kind != yaml.SequenceNode {
		ld.fail(e.file, e.val, "combine must be a list of one-key mappings")
		return
	}
	for _, one := range e.val.Content {
		for _, x := range ld.mapping(e.file, one, "a combination") {
			name, minus := strings.CutPrefix(x.key.Value, "-")
			code, ok := finding(x.file, x.key, name)
			if !ok {
				continue
			}
			cb := combination{code: code, present: !minus}
			for _, n := range ld.list(x.file, x.val) {
				if len(n.Value) < 2 {
					ld.fail(x.file, n, "must be a sign and a finding")
					continue
				}
				i, ok := finding(x.file, n, n.Value[1:])
				if !ok {
					continue
				}
				switch n.Value[0] {
				case '+':
					cb.all = append(cb.all, want{i, true})
				case '-':
					cb.all = append(cb.all, want{i, false})
				case '!':
					cb.none = append(cb.none, want{i, true})
				default:
					ld.fail(x.file, n, "%q must start with +, - or !", n.Value)
				}
			}
			if len(cb.all) == 0 {
				ld.fail(x.file, x.key, "combination %q needs a finding that was said", x.key.Value)
				continue
			}
			f.combine = append(f.combine, cb)
			f.spoken[code] = true
		}
	}
}
