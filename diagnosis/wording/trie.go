package wording

// role says what part a concept plays in a sentence.
type role uint8

// The roles. Their names in the lexicon are in roleNames.
const (
	roleNone          role = iota
	roleComponent          // a part or thing that can be spoken of: drum, door, water
	roleFunction           // something it should do: turn, heat, drain
	roleAnomaly            // something it should not do: leak, squeal, smoke
	roleContext            // a circumstance: at start, when full
	roleNegation           // not, no, never; several count as one
	roleReverse            // without, fails to; each turns the sense round
	roleReverseIng         // the same, when a gerund or infinitive follows: "stopped heating"
	roleAfter              // turns round what stands before it: "has gone"
	roleAfterFunction      // turns round the function before it: "spin is broken"
	roleTrouble            // negates functions only: "trouble draining", "everything except"
	roleFree               // negates anomalies only: "no problem with leaks"
	roleBarely             // weak negation
	rolePseudo             // looks like a negation and is none: "not only"
	roleHedge              // maybe, a bit
	roleEmphasis           // completely, definitely
	roleTheory             // a guess at a cause
	roleSeen               // seen, found
	roleDamaged            // torn, snapped
	roleCondemned          // knackered, had it
	roleGood               // fine, intact
	roleReplaced           // new one fitted
	roleNeed               // needs a new one
	rolePastHabit          // used to
	rolePastLong           // years ago
	roleNow                // these days
	roleHearsay            // read about
	roleOwner              // somebody else: next door, a friend
	roleMachine            // an appliance
	roleAttempt            // tries to, should
	roleChatter            // understood and without meaning, hides what is inside it
)

var roleNames = map[string]role{
	"component": roleComponent, "function": roleFunction, "anomaly": roleAnomaly,
	"context": roleContext, "negation": roleNegation, "reverse": roleReverse,
	"reverse_gerund": roleReverseIng, "after": roleAfter, "after_function": roleAfterFunction, "trouble": roleTrouble,
	"free": roleFree, "barely": roleBarely, "pseudo": rolePseudo, "hedge": roleHedge,
	"emphasis": roleEmphasis, "theory": roleTheory, "seen": roleSeen, "damaged": roleDamaged,
	"condemned": roleCondemned, "good": roleGood, "replaced": roleReplaced, "need": roleNeed,
	"past_habit": rolePastHabit, "past_long": rolePastLong, "now": roleNow,
	"hearsay": roleHearsay, "owner": roleOwner, "machine": roleMachine, "chatter": roleChatter, "attempt": roleAttempt,
}

// concept is one synonym set. Its id is the index in Lexicon.concepts.
type concept struct {
	name string
	role role
	used bool // named by a pattern, a part or a rule
}

// elem is one step in the trie: a stem, or a surface form to be met exactly.
type elem int32

func stemElem(id int32) elem { return elem(id) * 2 }
func surfElem(id int32) elem { return elem(id)*2 + 1 }

// accept is a concept recognised at a trie node. keep leaves shorter matches
// inside it visible.
type accept struct {
	concept int16
	keep    bool
}

// trie maps sequences of elems to concepts.
type trie struct {
	next   map[uint64]int32 // node<<32 | elem → node
	accept [][]accept       // by node
}

func newTrie() *trie { return &trie{next: map[uint64]int32{}, accept: make([][]accept, 1)} }

func (t *trie) insert(seq []elem, a accept) {
	node := int32(0)
	for _, e := range seq {
		k := uint64(node)<<32 | uint64(uint32(e))
		n, ok := t.next[k]
		if !ok {
			n = int32(len(t.accept))
			t.accept = append(t.accept, nil)
			t.next[k] = n
		}
		node = n
	}
	for _, have := range t.accept[node] {
		if have.concept == a.concept {
			return
		}
	}
	t.accept[node] = append(t.accept[node], a)
}

// hit is one concept found in the text.
type hit struct {
	concept    int16
	role       role
	keep       bool
	neg        bool  // in the scope of a negation
	weak       bool  // of a weak one
	concord    bool  // a plain negation already covers it
	used       bool  // served as a trigger; means nothing more by itself
	start, end int32 // tokens [start, end)
	trigger    int32 // token where the negation that covers it starts, -1 none
	triggerEnd int32
}

// find appends all hits in toks, longest first where one lies inside another:
// the inner one is dropped unless the outer says keep. Sorted by start, then
// end. A term never crosses a break.
func (l *Lexicon) find(dst []hit, toks []token, scratch []node) ([]hit, []node) {
	base := len(dst)
	for i := range toks {
		cur := append(scratch[:0], node{0, int32(i)})
		for len(cur) > 0 {
			n := cur[len(cur)-1]
			cur = cur[:len(cur)-1]
			for _, a := range l.trie.accept[n.id] {
				dst = append(dst, hit{
					concept: a.concept, role: l.concepts[a.concept].role, keep: a.keep,
					start: int32(i), end: n.at, trigger: -1, triggerEnd: -1,
				})
			}
			if int(n.at) >= len(toks) || n.at > int32(i) && toks[n.at].before != brkNone {
				continue
			}
			tk := toks[n.at]
			if tk.stem != 0 {
				if to, ok := l.trie.next[uint64(n.id)<<32|uint64(uint32(stemElem(tk.stem)))]; ok {
					cur = append(cur, node{to, n.at + 1})
				}
			}
			if tk.surf != 0 {
				if to, ok := l.trie.next[uint64(n.id)<<32|uint64(uint32(surfElem(tk.surf)))]; ok {
					cur = append(cur, node{to, n.at + 1})
				}
			}
			if tk.number {
				if to, ok := l.trie.next[uint64(n.id)<<32|uint64(numberElem)]; ok {
					cur = append(cur, node{to, n.at + 1})
				}
			}
		}
		scratch = cur
	}
	// Drop what lies inside a longer hit. Hits are few; the double loop is
	// bounded by the longest term.
	hits := dst[base:]
	sortHits(hits)
	out := hits[:0]
	for i, h := range hits {
		inside := false
		for j := i - 1; j >= 0 && !inside; j-- {
			o := hits[j]
			inside = !o.keep && o.end >= h.end && o.end-o.start > h.end-h.start
			if h.start-o.start > maxTerm {
				break
			}
		}
		for j := i + 1; j < len(hits) && hits[j].start == h.start && !inside; j++ {
			inside = !hits[j].keep && hits[j].end > h.end
		}
		if !inside {
			mark := h
			out = append(out, mark)
		}
	}
	return dst[:base+len(out)], scratch
}

// maxTerm is the greatest number of words in a term.
const maxTerm = 8

// numberElem is the step for any number; "<n>" in a term.
const numberElem elem = 1 << 30

// node is a position of the search in trie and text.
type node struct{ id, at int32 }

func sortHits(h []hit) {
	for i := 1; i < len(h); i++ { // nearly sorted already
		x := h[i]
		j := i - 1
		for j >= 0 && (h[j].start > x.start || h[j].start == x.start && h[j].end > x.end) {
			h[j+1] = h[j]
			j--
		}
		h[j+1] = x
	}
}
