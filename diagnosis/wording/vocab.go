package wording

import (
	"math/bits"
	"slices"
	"strings"

	"github.com/kljensen/snowball"
)

// class is a set of grammar classes a word form belongs to.
type class uint32

// The classes the clause and polarity rules speak of. The words in each are
// data; see language.yaml.
const (
	clsPronoun   class = 1 << iota // can be the subject of a new clause
	clsAux                         // auxiliary or linking verb
	clsPrep                        // preposition
	clsDet                         // determiner
	clsCognition                   // verb of thinking and saying that takes a clause
	clsTaker                       // verb that takes "it" as object
	clsSplit                       // conjunction that opens a clause
	clsAnd                         // opens a clause unless inside a term
	clsOr                          // continues the scope of a negation
	clsLight                       // does not count for the window of a negation
	clsEnd                         // ends the scope of a negation
	clsPast                        // past tense of a linking verb
	clsPossess                     // possessive mark
	clsHave                        // owning verb
	clsModal                       // conditional or future
	clsIf                          // opens a condition
	clsWhen                        // opens a clause of time
	clsNumber                      // a number in letters
	clsExpletive                   // stands for no thing: "there was"
	clsUntil                       // ends the time of the clause before
	clsPerson                      // stands for a person, who does things on purpose
)

var classNames = map[string]class{
	"pronoun": clsPronoun, "aux": clsAux, "preposition": clsPrep, "determiner": clsDet,
	"cognition": clsCognition, "taker": clsTaker, "split": clsSplit, "and": clsAnd, "or": clsOr,
	"light": clsLight, "end": clsEnd, "past": clsPast, "possessive": clsPossess, "have": clsHave,
	"modal": clsModal, "condition": clsIf, "until": clsUntil, "expletive": clsExpletive, "when": clsWhen, "number": clsNumber,
	"person": clsPerson,
}

// word is one surface form.
type word struct {
	text    string
	stem    int32
	classes class
	gerund  bool
	derived bool    // made by an inflection rule
	term    bool    // from a term of a concept, not only from the list of common words
	expand  []int32 // surfaces it stands for, nil for itself
	letters uint32  // which of a to z it has, to pass over far words at once
}

// vocab holds every known surface form. Read-only after load.
type vocab struct {
	language  string // of the stemmer
	words     []word // by surface id; 0 is unknown
	surfaces  map[string]int32
	stems     map[string]int32
	stemNames []string // by stem id
	irregular map[string]string
	fixed     map[string]bool
	rules     []inflection
	gerund    string
	minOne    int // letters from which one edit is repaired
	minTwo    int // letters from which two edits are repaired
	// buckets hold surfaces by first byte and length for repair.
	buckets map[[2]byte][]int32
}

func newVocab() *vocab {
	return &vocab{
		words:     make([]word, 1),
		surfaces:  map[string]int32{},
		stems:     map[string]int32{"": 0},
		irregular: map[string]string{},
		fixed:     map[string]bool{},
		buckets:   map[[2]byte][]int32{},
	}
}

// stemText returns the stem of a surface form.
func (v *vocab) stemText(s string) string {
	if base, ok := v.irregular[s]; ok {
		s = base
	}
	if v.fixed[s] || len(s) < 3 {
		return s
	}
	st, err := snowball.Stem(s, v.language, false)
	if err != nil {
		return s
	}
	return st
}

// nameStems fills stemNames once all words are in.
func (v *vocab) nameStems() {
	v.stemNames = make([]string, len(v.stems))
	for name, id := range v.stems {
		v.stemNames[id] = name
	}
}

func (v *vocab) stemID(s string) int32 {
	if id, ok := v.stems[s]; ok {
		return id
	}
	id := int32(len(v.stems))
	v.stems[s] = id
	return id
}

// add enters a surface form and returns its id.
func (v *vocab) add(s string) int32 {
	if id, ok := v.surfaces[s]; ok {
		return id
	}
	id := int32(len(v.words))
	v.words = append(v.words, word{
		text:   s,
		stem:   v.stemID(v.stemText(s)),
		gerund: v.isGerund(s),
	})
	v.surfaces[s] = id
	return id
}

// inflection is one rule for a regular form: double the last letter or drop an
// ending, then add.
type inflection struct {
	add, drop string
	double    bool
}

// inflect enters the regular forms of every word so far, so that reading finds
// them without the stemmer. It runs after all words are in, so a form that is a
// word of its own stays what it is.
func (v *vocab) inflect() {
	for id, n := 1, len(v.words); id < n; id++ {
		w := v.words[id]
		if w.expand != nil || len(w.text) < 3 || w.classes != 0 && !w.term || !isPlain(w.text) {
			continue
		}
		for _, r := range v.rules {
			base, ok := strings.CutSuffix(w.text, r.drop)
			if !ok || len(base) < 2 {
				continue
			}
			if r.double {
				base += base[len(base)-1:]
			}
			f := base + r.add
			if _, ok := v.surfaces[f]; ok {
				continue
			}
			v.surfaces[f] = int32(len(v.words))
			v.words = append(v.words, word{text: f, stem: w.stem, term: w.term, derived: true, gerund: v.isGerund(f)})
		}
	}
}

func (v *vocab) isGerund(s string) bool {
	return v.gerund != "" && len(s) > len(v.gerund)+2 && strings.HasSuffix(s, v.gerund)
}

// index builds the buckets for repair.
func (v *vocab) index() {
	for id := 1; id < len(v.words); id++ {
		s := v.words[id].text
		if len(s) >= 3 && len(s) < 256 && isPlain(s) {
			k := [2]byte{s[0], byte(len(s))}
			v.words[id].letters = lettersOf(s)
			v.buckets[k] = append(v.buckets[k], int32(id))
		}
	}
	for _, b := range v.buckets {
		slices.SortFunc(b, func(x, y int32) int {
			if v.before(x, y) {
				return -1
			}
			return 1
		})
	}
}

func lettersOf(s string) uint32 {
	var m uint32
	for i := 0; i < len(s); i++ {
		m |= 1 << (s[i] - 'a')
	}
	return m
}

// before orders equally near words: words of terms first, then the forms that
// were listed, then by text.
func (v *vocab) before(x, y int32) bool {
	wx, wy := &v.words[x], &v.words[y]
	switch {
	case wx.term != wy.term:
		return wx.term
	case wx.derived != wy.derived:
		return wy.derived
	}
	return wx.text < wy.text
}

func isPlain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < 'a' || s[i] > 'z' {
			return false
		}
	}
	return true
}

// guess resolves a word that is no known surface. It returns one or two surface
// ids, or only a stem id, or zeros.
func (v *vocab) guess(w []byte) (first, second, stem int32) {
	const longest = 40 // longer strings are no words
	if len(w) > longest {
		return 0, 0, 0
	}
	s := string(w)
	if id := v.collapse(s); id != 0 {
		return id, 0, 0
	}
	if id, ok := v.stems[v.stemText(s)]; ok && id != 0 {
		return 0, 0, id
	}
	if !isPlain(s) {
		return 0, 0, 0
	}
	if a, b := v.fused(s); a != 0 {
		return a, b, 0
	}
	return v.repair(s), 0, 0
}

// collapse shortens letters drawn out for emphasis: "sooo", "noooo", "smokkke".
func (v *vocab) collapse(s string) int32 {
	long := false
	for i := 2; i < len(s); i++ {
		if s[i] == s[i-1] && s[i] == s[i-2] {
			long = true
			break
		}
	}
	if !long {
		return 0
	}
	for keep := 2; keep >= 1; keep-- {
		var b strings.Builder
		run := 0
		for i := 0; i < len(s); i++ {
			if i > 0 && s[i] == s[i-1] {
				run++
			} else {
				run = 1
			}
			if run <= keep {
				b.WriteByte(s[i])
			}
		}
		if id, ok := v.surfaces[b.String()]; ok {
			return id
		}
	}
	return 0
}

// fused takes apart two words written as one, when both are known and neither
// is very short.
func (v *vocab) fused(s string) (a, b int32) {
	for i := 3; i+3 <= len(s); i++ {
		x, ok := v.surfaces[s[:i]]
		if !ok {
			continue
		}
		y, ok := v.surfaces[s[i:]]
		if ok && (v.words[x].term || v.words[y].term) && len(s) >= 8 {
			return x, y
		}
	}
	return 0, 0
}

// repair returns the nearest known surface, 0 when none is near enough. The
// first letter must agree, or be swapped with the second, since slips there are
// rare and the words they would confuse are not ("burning", "turning").
func (v *vocab) repair(s string) int32 {
	limit := 0
	switch {
	case len(s) >= v.minTwo:
		limit = 2
	case len(s) >= v.minOne:
		limit = 1
	case len(s) == 4:
		limit = 1 // a swap only, see below
	}
	if limit == 0 {
		return 0
	}
	best, bestD := int32(0), 2*limit+1
	letters := lettersOf(s)
	for try := 0; try < 2; try++ {
		first := s[try]
		if try == 1 && (first == s[0]) {
			break
		}
		for d := 0; d <= limit; d++ {
			for sign := -1; sign <= 1; sign += 2 {
				n := len(s) + sign*d
				if d > 1 { // two letters too many or too few is another word
					break
				}
				if n < 3 || n > 255 || d == 0 && sign > 0 {
					continue
				}
				for _, id := range v.buckets[[2]byte{first, byte(n)}] {
					// One edit changes at most two members of the set of letters.
					if bits.OnesCount32(v.words[id].letters^letters) > 2*limit {
						continue
					}
					t := v.words[id].text
					if len(s) == 4 && (d != 0 || !swapped(s, t)) {
						continue
					}
					if try == 1 && (len(t) < 2 || t[1] != s[0]) {
						continue
					}
					// A doubled or missing double letter is the commonest slip:
					// half an edit.
					dist := 2 * distance(s, t, limit)
					if dist <= 2*limit && sameButDoubles(s, t) {
						dist--
					}
					if dist < bestD || dist == bestD && best != 0 && v.before(id, best) {
						best, bestD = id, dist
					}
				}
			}
		}
	}
	return best
}

// sameButDoubles tells whether s and t differ only in doubled letters.
func sameButDoubles(s, t string) bool {
	i, j := 0, 0
	for i < len(s) && j < len(t) {
		if s[i] != t[j] {
			return false
		}
		c := s[i]
		for i < len(s) && s[i] == c {
			i++
		}
		for j < len(t) && t[j] == c {
			j++
		}
	}
	return i == len(s) && j == len(t)
}

// swapped tells whether t is s with two neighbouring letters swapped.
func swapped(s, t string) bool {
	if len(s) != len(t) {
		return false
	}
	i := 0
	for i < len(s) && s[i] == t[i] {
		i++
	}
	return i+1 < len(s) && s[i] == t[i+1] && s[i+1] == t[i] && s[i+2:] == t[i+2:]
}

// distance is the optimal string alignment form of the Damerau–Levenshtein
// distance: insertions, deletions, substitutions and swaps of neighbours, no
// substring edited twice. It returns limit+1 as soon as the distance must
// exceed limit. Words are at most 40 bytes.
//
// Source: Damerau 1964, Communications of the ACM 7(3), 171–176.
func distance(a, b string, limit int) int {
	var rows [3][64]int8
	r0, r1, r2 := &rows[0], &rows[1], &rows[2]
	if len(a) >= 63 || len(b) >= 63 || len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	for j := 0; j <= len(b); j++ {
		r1[j] = int8(j)
	}
	for i := 1; i <= len(a); i++ {
		r2[0] = int8(i)
		low := int8(i)
		for j := 1; j <= len(b); j++ {
			cost := int8(1)
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(r1[j]+1, r2[j-1]+1, r1[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, r0[j-2]+1)
			}
			r2[j] = d
			low = min(low, d)
		}
		if int(low) > limit {
			return limit + 1
		}
		r0, r1, r2 = r1, r2, r0
	}
	return int(r1[len(b)])
}
