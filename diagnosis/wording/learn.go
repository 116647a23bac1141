package wording

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"onevisit/diagnosis/gist"
)

// Beside the patterns stands a model trained on phrases people say, for wording
// that no pattern foresaw: see package gist. It sees a clause as its words, pairs
// of words, and the concepts the lexicon found in it with their polarity, so that
// what the lexicon knows of synonyms and negation need not be learned again. A
// finding the patterns have reported is left to them.

// ErrPhrases is wrapped by every error about a file of phrases.
var ErrPhrases = errors.New("wording: bad phrases")

// Phrase is something a caller says, with the findings it reports.
type Phrase struct {
	Text   string
	Labels []string // finding code followed by "+" or "-"; none for chatter
}

// Signs of a label, and the label of a phrase that carries no finding.
const (
	labelPresent = "+"
	labelAbsent  = "-"
	labelNone    = "none"
)

// ReadPhrases reads a file of phrases: finding codes, signs and text, separated
// by tabs, the first two lists separated by commas; "none" with sign "." carries
// no finding. Lines that begin with # are comments. All problems are reported at
// once, by line; the error wraps [ErrPhrases] and each [Problem].
func ReadPhrases(fsys fs.FS, name string) ([]Phrase, error) {
	raw, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPhrases, err)
	}
	var out []Phrase
	bad := []error{ErrPhrases}
	lines := bufio.NewScanner(bytes.NewReader(raw))
	for n := 1; lines.Scan(); n++ {
		line := strings.TrimRight(lines.Text(), " \r")
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		p, what := readPhrase(line)
		if what != "" {
			bad = append(bad, Problem{File: name, Line: n, Column: 1, Text: what})
			continue
		}
		out = append(out, p)
	}
	if err := lines.Err(); err != nil {
		bad = append(bad, err)
	}
	if len(bad) > 1 {
		return nil, errors.Join(bad...)
	}
	return out, nil
}

func readPhrase(line string) (p Phrase, what string) {
	f := strings.Split(line, "\t")
	if len(f) != 3 || strings.TrimSpace(f[2]) == "" {
		return p, "want finding codes, signs and a phrase, separated by tabs"
	}
	p.Text = f[2]
	codes, signs := strings.Split(f[0], ","), strings.Split(f[1], ",")
	if f[0] == "none" && f[1] == "." {
		return p, ""
	}
	if len(codes) != len(signs) {
		return p, fmt.Sprintf("%d codes and %d signs", len(codes), len(signs))
	}
	for i, c := range codes {
		if signs[i] != labelPresent && signs[i] != labelAbsent {
			return p, fmt.Sprintf("sign %q is none of + and -", signs[i])
		}
		p.Labels = append(p.Labels, strings.TrimSpace(c)+signs[i])
	}
	return p, ""
}

// Teach trains the model of one family on phrases. It does not change l: write
// the model beside the lexicon files and load them again. Phrases with codes the
// family does not have are an error that wraps [ErrPhrases].
func (l *Lexicon) Teach(familyCode string, phrases []Phrase, o gist.Options) (*gist.Model, error) {
	fam := l.families[familyCode]
	if fam == nil {
		return nil, fmt.Errorf("%w: the lexicon has no family %q", ErrPhrases, familyCode)
	}
	var examples []gist.Example
	labels := map[string]bool{labelNone: true}
	s := l.pool.Get().(*scratch)
	defer l.pool.Put(s)
	for _, p := range phrases {
		for _, label := range p.Labels {
			if _, ok := fam.index[label[:len(label)-1]]; !ok {
				return nil, fmt.Errorf("%w: %q has code %q, which %s does not have", ErrPhrases, p.Text, label[:len(label)-1], familyCode)
			}
			labels[label] = true
		}
		l.prepare(s, p.Text, fam)
		if len(s.toks) == 0 {
			continue
		}
		examples = append(examples, gist.Example{Features: l.features(nil, s, 0, len(s.clauses), p.Text), Labels: or(p.Labels, labelNone)})
	}
	names := make([]string, 0, len(labels))
	for label := range labels {
		names = append(names, label)
	}
	slices.Sort(names)
	return gist.Train(examples, names, o)
}

// or returns list, or none alone when it is empty.
func or(list []string, none string) []string {
	if len(list) == 0 {
		return []string{none}
	}
	return list
}

// prepare does what comes before matching: tokens, concepts, clauses, polarity.
func (l *Lexicon) prepare(s *scratch, text string, fam *family) {
	s.toks, s.buf = l.tokenise(s.toks[:0], text, s.buf)
	s.hits, s.nodes = l.find(s.hits[:0], s.toks, s.nodes)
	l.segment(s)
	l.describe(s, fam)
	for ci := range s.clauses {
		l.polarise(s, ci)
	}
}

// features names what stands in the clauses [from, to): words w, neighbours b,
// words with one between them s, concepts c with a minus when negated, pairs of
// concepts p.
func (l *Lexicon) features(dst []string, s *scratch, from, to int, text string) []string {
	first := len(dst)
	a, b := s.clauses[from].start, s.clauses[to-1].end
	var w1, w2 string
	var full1, full2 bool // whether w1 and w2 mean something by themselves
	for i := a; i < b; i++ {
		w, full := l.stemAt(s.toks[i], text), l.classOf(s.toks[i])&empty == 0
		if full {
			dst = append(dst, "w "+w)
		}
		if w1 != "" && (full || full1) {
			dst = append(dst, "b "+w1+" "+w)
		}
		if w2 != "" && (full || full2) {
			dst = append(dst, "s "+w2+" "+w)
		}
		w2, full2, w1, full1 = w1, full1, w, full
	}
	concepts := len(dst)
	for ci := from; ci < to; ci++ {
		c := &s.clauses[ci]
		for _, h := range s.hits[c.hitStart:c.hitEnd] {
			sign := "+"
			if h.neg {
				sign = "-"
			}
			dst = append(dst, "c "+sign+l.concepts[h.concept].name)
		}
	}
	for i, n := concepts, len(dst); i < n; i++ {
		for k := i + 1; k < n && k <= i+4; k++ {
			x, y := dst[i][2:], dst[k][2:]
			if x > y {
				x, y = y, x
			}
			if x != y {
				dst = append(dst, "p "+x+" "+y)
			}
		}
	}
	said := dst[first:]
	slices.Sort(said)
	return dst[:first+len(slices.Compact(said))]
}

// empty are the classes of words that say nothing without others.
const empty = clsPronoun | clsAux | clsPrep | clsDet | clsSplit | clsAnd | clsOr | clsExpletive | clsPossess | clsHave

// stemAt is the stem of a token's word as the lexicon spells it, or of the word
// as written when the lexicon does not know it.
func (l *Lexicon) stemAt(t token, text string) string {
	if t.surf != 0 {
		return l.vocab.stemNames[l.vocab.words[t.surf].stem]
	}
	return l.vocab.stemText(strings.ToLower(text[t.start:t.end]))
}

// learned adds what the model hears in each clause, and in each pair of
// neighbouring clauses of one sentence, where the patterns said nothing.
func (l *Lexicon) learned(s *scratch, text string, fam *family) {
	if fam.gist == nil || l.learnedLeast == 0 {
		return
	}
	patterns := len(s.reports)
	n := len(fam.gist.Labels())
	if cap(s.scores) < n {
		s.scores, s.best, s.bestAt = make([]float64, n), make([]float64, n), make([][2]int32, n)
	}
	s.scores, s.best, s.bestAt = s.scores[:n], s.best[:n], s.bestAt[:n]
	clear(s.best)
	hear := func(from, to int) {
		s.names = l.features(s.names[:0], s, from, to, text)
		if !fam.gist.Score(s.names, s.scores) {
			return
		}
		for i, p := range s.scores {
			if p >= l.learnedLeast && p > s.best[i] {
				s.best[i], s.bestAt[i] = p, [2]int32{s.clauses[from].start, s.clauses[to-1].end}
			}
		}
	}
	silent := func(ci int) bool {
		c := &s.clauses[ci]
		return c.other || c.is(rolePastLong) || c.is(rolePastHabit) || c.is(roleTheory)
	}
	for ci := range s.clauses {
		if silent(ci) || s.clauses[ci].roles&substance == 0 {
			continue
		}
		hear(ci, ci+1)
		if ci > 0 && !silent(ci-1) && s.clauses[ci-1].sentence == s.clauses[ci].sentence {
			hear(ci-1, ci+1)
		}
	}
	for i, p := range s.best {
		label := fam.labels[i]
		if p < l.learnedLeast || label.code < 0 {
			continue
		}
		a, b := s.span(s.bestAt[i][0], s.bestAt[i][1])
		// An exclusion in a pattern answers for the model too.
		if slices.ContainsFunc(s.ruledOut, func(r report) bool {
			return r.code == label.code && r.present == label.present && r.start >= a && r.end <= b
		}) {
			continue
		}
		if slices.ContainsFunc(s.reports[:patterns], func(r report) bool {
			// The patterns have settled this finding; or they have heard something
			// else in these words, and the model must be surer to add to it.
			return r.code == label.code || p < l.learnedSure && r.start >= a && r.end <= b
		}) {
			continue
		}
		s.reports = append(s.reports, report{
			code: label.code, present: label.present, ratio: l.learnedRatio(p), start: a, end: b,
		})
	}
}

// substance are the roles one of which a clause must hold for the model to be
// asked about it: where the lexicon sees neither thing nor event, people talk of
// something else.
const substance = 1<<roleComponent | 1<<roleFunction | 1<<roleAnomaly | 1<<roleContext |
	1<<roleTrouble | 1<<roleDamaged | 1<<roleCondemned | 1<<roleBarely

// learnedRatio is what a label heard with probability p is worth: its odds, times
// learnedMost, at most that.
func (l *Lexicon) learnedRatio(p float64) float64 {
	return max(1, l.learnedMost*min(1, p/(1-p)))
}

// adopt takes a trained model into a family. Labels of findings the family does
// not have (an expert's folder took them out) are never reported.
func (f *family) adopt(m *gist.Model) {
	f.gist, f.labels = m, make([]want, len(m.Labels()))
	for i, label := range m.Labels() {
		if label == labelNone {
			f.labels[i] = want{code: -1}
			continue
		}
		code, sign := label[:len(label)-1], label[len(label)-1:]
		at, ok := f.index[code]
		if !ok {
			at = f.add(code, true)
		}
		f.labels[i] = want{code: at, present: sign == labelPresent}
	}
}
