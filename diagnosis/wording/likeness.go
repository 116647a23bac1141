package wording

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"

	"onevisit/diagnosis/gist"
)

// A whole call says more than its findings: how people tell of one fault differs
// from how they tell of another. So a second model, trained on whole calls, says
// which part kinds calls worded like this one turned out to need. It sees the
// words and concepts of all clauses and the findings read in them. It is one
// more witness, not a judge: belief weighs it with everything else.

// Call is a whole call with the part kind that was needed.
type Call struct {
	Family string `json:"family"`
	Text   string `json:"text"`
	Truth  string `json:"truth"`
}

// ReadCalls reads the calls of all files in fsys that match the pattern, one JSON
// object a line; fields other than those of [Call] are ignored. Problems are
// reported by file and line; the error wraps [ErrPhrases].
func ReadCalls(fsys fs.FS, pattern string) ([]Call, error) {
	names, err := fs.Glob(fsys, pattern)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPhrases, err)
	}
	var out []Call
	bad := []error{ErrPhrases}
	for _, name := range names {
		raw, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrPhrases, err)
		}
		lines := bufio.NewScanner(bytes.NewReader(raw))
		lines.Buffer(nil, maxFileBytes)
		for n := 1; lines.Scan(); n++ {
			if len(bytes.TrimSpace(lines.Bytes())) == 0 {
				continue
			}
			var c Call
			if err := json.Unmarshal(lines.Bytes(), &c); err != nil {
				bad = append(bad, Problem{File: name, Line: n, Column: 1, Text: err.Error()})
				continue
			}
			if c.Family == "" || c.Text == "" || c.Truth == "" {
				bad = append(bad, Problem{File: name, Line: n, Column: 1, Text: "family, text and truth are all wanted"})
				continue
			}
			out = append(out, c)
		}
		if err := lines.Err(); err != nil {
			bad = append(bad, fmt.Errorf("%s: %w", name, err))
		}
	}
	if len(bad) > 1 {
		return nil, errors.Join(bad...)
	}
	return out, nil
}

// TeachCalls trains the model of whole calls of one family. Like [Lexicon.Teach]
// it does not change l. The model of phrases must be loaded, since what it hears
// is part of what this one sees. Which part kinds there are is for knowledge to
// say: check them before.
func (l *Lexicon) TeachCalls(familyCode string, calls []Call, o gist.Options) (*gist.Model, error) {
	fam := l.families[familyCode]
	if fam == nil {
		return nil, fmt.Errorf("%w: the lexicon has no family %q", ErrPhrases, familyCode)
	}
	var examples []gist.Example
	kinds := map[string]bool{}
	for _, c := range calls {
		if c.Family != familyCode {
			continue
		}
		kinds[c.Truth] = true
		s := l.pool.Get().(*scratch)
		r := l.readInto(s, c.Text, fam)
		examples = append(examples, gist.Example{Features: l.whole(s, c.Text, r), Labels: []string{c.Truth}})
		l.pool.Put(s)
	}
	labels := make([]string, 0, len(kinds))
	for k := range kinds {
		labels = append(labels, k)
	}
	slices.Sort(labels)
	return gist.Train(examples, labels, o)
}

// whole names what a whole text says: the features of each clause and f for each
// finding read. s must hold the text.
func (l *Lexicon) whole(s *scratch, text string, r Reading) []string {
	var out []string
	for ci := range s.clauses {
		out = l.features(out, s, ci, ci+1, text)
	}
	for _, o := range r.Observations {
		sign := labelAbsent
		if o.Present {
			sign = labelPresent
		}
		out = append(out, "f "+sign+o.Finding)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Likeness is how much likelier a part kind is among calls worded like this one
// than among calls in general.
type Likeness struct {
	PartKind string
	// Ratio is tempered and held between 1/likenessMost and likenessMost, since
	// it rests on the same words as the findings do.
	Ratio float64
	// Because are the words, concepts and findings that speak for it most.
	Because []string
}

// likenessReasons is how many reasons are kept.
const likenessReasons = 4

// likenesses asks the model of whole calls. An uninformative text is like no
// other.
func (l *Lexicon) likenesses(s *scratch, text string, fam *family, r Reading) []Likeness {
	if fam.calls == nil || l.likenessPower == 0 || len(s.clauses) == 0 {
		return nil
	}
	features := l.whole(s, text, r)
	labels := fam.calls.Labels()
	p := make([]float64, len(labels))
	if !fam.calls.Score(features, p) {
		return nil
	}
	out := make([]Likeness, 0, len(labels))
	for i, kind := range labels {
		// Against an even chance: how usual a part kind is in general is for
		// belief to say, and how often it stands in the training calls is not it.
		ratio := math.Pow(p[i]*float64(len(labels)), l.likenessPower)
		ratio = min(max(ratio, 1/l.likenessMost), l.likenessMost)
		x := Likeness{PartKind: kind, Ratio: ratio}
		if ratio > 1 {
			x.Because = spoken(fam.calls.Because(features, i, likenessReasons))
		}
		out = append(out, x)
	}
	return out
}

// spoken turns names of features into what a person can read.
func spoken(features []string) []string {
	for i, f := range features {
		_, words, _ := strings.Cut(f, " ")
		features[i] = strings.ReplaceAll(words, "_", " ")
	}
	return features
}
