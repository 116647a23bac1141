package wording

import (
	"embed"
	"io/fs"
	"sync"

	"onevisit/diagnosis/gist"
)

// Lexicon is one language's manner of speaking about appliances. It is built by
// [Load], read-only afterwards and safe for concurrent use.
type Lexicon struct {
	vocab       *vocab
	trie        *trie
	concepts    []concept
	families    map[string]*family
	hazards     patternSet
	hazardCodes []string
	never       bitset // machines that are never the caller's: "the old one"
	seen        bitset // concepts of role seen
	window      int    // tokens a negation reaches
	infinitive  string
	strengths   strengths
	// hazardLeast is the ratio from which on a finding raises the hazard of the
	// same meaning.
	hazardLeast float64
	// learnedLeast is the probability from which on the trained model is
	// believed, learnedSure where the patterns have heard something else in the
	// same words, and learnedMost the ratio of what it is sure of; see learn.go.
	learnedLeast, learnedSure, learnedMost float64
	// likenessPower tempers the model of whole calls, 0 to 1, and likenessMost is
	// the most it may say; see likeness.go.
	likenessPower, likenessMost float64
	pool                        sync.Pool
}

// strengths are the ratios of reports, see evidence.Observation.Ratio and
// evidence.PartMention.Ratio. Data; see language.yaml.
type strengths struct {
	Plain, Emphatic, Hedged, Indirect  float64
	Absent, AbsentHedged               float64
	Theory, SeenBad, SaidBad           float64
	SeenGood, SeenGoodHedged, Replaced float64
}

func (s *strengths) fields() map[string]*float64 {
	return map[string]*float64{
		"plain": &s.Plain, "emphatic": &s.Emphatic, "hedged": &s.Hedged, "indirect": &s.Indirect,
		"absent": &s.Absent, "absent_hedged": &s.AbsentHedged,
		"theory": &s.Theory, "seen_bad": &s.SeenBad, "said_bad": &s.SaidBad,
		"seen_good": &s.SeenGood, "seen_good_hedged": &s.SeenGoodHedged, "replaced": &s.Replaced,
	}
}

// patternSet is a list of patterns with an index by the anchor's concept.
type patternSet struct {
	list     []pattern
	byAnchor [][]int32
}

func (ps *patternSet) index(concepts int) {
	ps.byAnchor = make([][]int32, concepts)
	for i := range ps.list {
		for c := range int16(concepts) {
			if ps.list[i].anchor.set.has(c) {
				ps.byAnchor[c] = append(ps.byAnchor[c], int32(i))
			}
		}
	}
}

// family is what the lexicon says about one appliance family.
type family struct {
	codes    []string // finding codes; internal ones serve combinations only
	index    map[string]int16
	internal []bool
	spoken   []bool // has a pattern or a combination
	askOnly  map[string]bool
	patterns patternSet
	combine  []combination
	calm     bitset // concepts that are no danger with this family
	own      bitset // machine concepts that mean the caller's own
	parts    []part
	partsOf  [][]int16        // by concept
	gist     *gist.Model      // of phrases; nil when none was trained
	calls    *gist.Model      // of whole calls; nil when none was trained
	labels   []want           // by label of gist
	dangers  map[string]int16 // hazard that a finding amounts to, by finding code
}

type part struct {
	kind    string
	visible bool // can be seen from outside
}

// combination is a finding that follows from others.
type combination struct {
	code    int16
	present bool
	all     []want
	none    []want
}

type want struct {
	code    int16
	present bool
}

// Codes are the codes the knowledge base knows, to check a lexicon against.
type Codes struct {
	Families map[string]FamilyCodes
	Hazards  []string
}

// FamilyCodes are the codes of one family.
type FamilyCodes struct {
	Findings []string
	Parts    []string
}

//go:embed lexicon
var files embed.FS

// Default loads the lexicon of a language that comes with the package; "en" is
// there. Errors wrap [ErrLexicon].
func Default(language string, codes Codes) (*Lexicon, error) {
	sub, err := fs.Sub(files, "lexicon/"+language)
	if err != nil {
		return nil, err
	}
	return Load(sub, codes)
}

// Unspoken returns the finding codes of a family that no pattern, combination
// or list of findings to ask about mentions; nil when the family is not known.
func (l *Lexicon) Unspoken(familyCode string) []string {
	f := l.families[familyCode]
	if f == nil {
		return nil
	}
	var out []string
	for i, code := range f.codes {
		if !f.internal[i] && !f.spoken[i] && !f.askOnly[code] {
			out = append(out, code)
		}
	}
	return out
}

// Stats counts what a lexicon holds.
type Stats struct {
	Concepts, Terms, Words, Patterns, HazardPatterns int
}

// Stats returns the counts; Words includes regular inflections.
func (l *Lexicon) Stats() Stats {
	st := Stats{Concepts: len(l.concepts), Words: len(l.vocab.words) - 1, HazardPatterns: len(l.hazards.list)}
	for _, a := range l.trie.accept {
		st.Terms += len(a)
	}
	for _, f := range l.families {
		st.Patterns += len(f.patterns.list)
	}
	return st
}
