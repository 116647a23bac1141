package wording

// bitset is a set of concept ids. maxConcepts bounds the lexicon.
const maxConcepts = 512

type bitset [maxConcepts / 64]uint64

func (b *bitset) set(i int16)      { b[i>>6] |= 1 << (uint(i) & 63) }
func (b *bitset) has(i int16) bool { return b[i>>6]&(1<<(uint(i)&63)) != 0 }
func (b *bitset) meets(o *bitset) bool {
	for i := range b {
		if b[i]&o[i] != 0 {
			return true
		}
	}
	return false
}
func (b *bitset) union(o *bitset) {
	for i := range b {
		b[i] |= o[i]
	}
}
func (b *bitset) empty() bool {
	for _, w := range b {
		if w != 0 {
			return false
		}
	}
	return true
}

// clause is a stretch of text with one predicate, as near as rules can tell.
type clause struct {
	start, end       int32 // tokens
	hitStart, hitEnd int32 // hits
	sentence         int32
	roles            uint64 // roles of its hits
	classes          class  // classes of its tokens
	concepts         bitset
	subject          bitset // components and machines that can be its subject
	carried          bitset // subject of an earlier clause of the sentence when it has none
	question         bool
	condition        bool // opened by "if"
	temporal         bool // opened by "when" or the like
	other            bool // about another machine
	until            bool // its state ended: the next clause begins with "until"
}

func (c *clause) is(r role) bool { return c.roles&(1<<r) != 0 }

// maxClause bounds the number of tokens in a clause, so that text without any
// marks costs no more than text with them.
const maxClause = 40

// scratch is the working memory of one reading.
type scratch struct {
	toks     []token
	hits     []hit
	nodes    []node
	buf      []byte
	clauses  []clause
	inside   []bool   // by token: inside a term, not at its start
	wide     []bool   // by token: a term of several words starts here
	within   []bool   // by token: part of a circumstance of several words
	opens    []uint64 // by token: roles of hits that start here
	reports  []report
	parts    []partReport
	ignored  []Ignored
	hazards  []HazardHit
	denied   []int16  // hazards named as not there, or done on purpose
	ruledOut []report // findings whose patterns an exclusion stopped
	// for the trained model
	names  []string
	scores []float64
	best   []float64
	bestAt [][2]int32 // tokens
}

func (l *Lexicon) classOf(t token) class { return l.vocab.words[t.surf].classes }

const predicates = 1<<roleFunction | 1<<roleAnomaly | 1<<roleNegation | 1<<roleBarely |
	1<<roleReverse | 1<<roleAfter | 1<<roleAfterFunction | 1<<roleTrouble | 1<<roleDamaged | 1<<roleCondemned | 1<<roleGood

// predicateAt tells whether a predicate starts at token i or after adverbs.
func (l *Lexicon) predicateAt(s *scratch, i int32) bool {
	for n := 0; n < 3 && int(i) < len(s.toks) && (n == 0 || s.toks[i].before == brkNone); n++ {
		c := l.classOf(s.toks[i])
		if c&(clsAux|clsPossess) != 0 || s.opens[i]&predicates != 0 {
			return true
		}
		if c&(clsLight|clsEnd) == 0 || c&(clsDet|clsPrep|clsPronoun) != 0 {
			return false
		}
		i++
	}
	return false
}

// segment cuts the tokens into clauses.
func (l *Lexicon) segment(s *scratch) {
	n := len(s.toks)
	s.inside = append(s.inside[:0], make([]bool, n)...)
	s.wide = append(s.wide[:0], make([]bool, n)...)
	s.within = append(s.within[:0], make([]bool, n)...)
	s.opens = append(s.opens[:0], make([]uint64, n+1)...)
	for _, h := range s.hits {
		s.opens[h.start] |= 1 << h.role
		if h.end-h.start > 1 {
			s.wide[h.start] = true
		}
		for j := h.start; j < h.end; j++ {
			s.inside[j] = s.inside[j] || j > h.start
			s.within[j] = s.within[j] || h.role == roleContext && h.end-h.start > 1
		}
	}
	s.clauses = s.clauses[:0]
	from, sentence := 0, int32(0)
	predicate := false // the clause so far has one
	list := 0          // commas before this token belong to a negated list
	for i := 0; i < n; i++ {
		if i > from {
			cut := false
			switch t := s.toks[i]; {
			case t.before == brkSentence:
				cut = true
			case t.before == brkClause:
				if i >= list {
					list = l.negatedList(s, from, i)
				}
				cut = i >= list
			case s.inside[i]:
			default:
				cut = i-from >= maxClause || l.opensClause(s, from, i, predicate)
			}
			if cut {
				s.clauses = append(s.clauses, clause{start: int32(from), end: int32(i), sentence: sentence})
				from, predicate, list = i, false, 0
				if s.toks[i].before == brkSentence {
					sentence++
				}
			}
		}
		if s.opens[i]&predicates != 0 || l.classOf(s.toks[i])&clsAux != 0 {
			predicate = true
		}
	}
	if n > from {
		s.clauses = append(s.clauses, clause{start: int32(from), end: int32(n), sentence: sentence})
	}
}

// opensClause tells whether a new clause starts at token i without any mark.
func (l *Lexicon) opensClause(s *scratch, from, i int, predicate bool) bool {
	c := l.classOf(s.toks[i])
	prev := l.classOf(s.toks[i-1])
	if c&(clsSplit|clsAnd) != 0 && !s.wide[i] {
		// "and then" opens one clause, not two.
		return i-from > 1 || prev&(clsSplit|clsAnd) == 0
	}
	if !predicate || prev&(clsPrep|clsTaker|clsCognition|clsSplit|clsAnd|clsDet|clsIf|clsOr) != 0 {
		return false
	}
	if c&clsPronoun != 0 {
		return !s.toks[i].glued && l.predicateAt(s, int32(i+1))
	}
	// A noun phrase with its own predicate: "won't turn the motor hums".
	j := i
	if c&clsDet != 0 {
		j++
	} else if s.opens[i]&(1<<roleComponent|1<<roleMachine) == 0 ||
		!l.vocab.words[s.toks[i-1].surf].gerund && s.opens[i-1]&(1<<roleGood) == 0 {
		return false
	}
	for k := j; k < j+3 && k < len(s.toks) && (k == i || s.toks[k].before == brkNone); k++ {
		if s.opens[k]&(1<<roleComponent|1<<roleMachine) != 0 {
			end := int32(k + 1)
			for int(end) < len(s.toks) && s.inside[end] {
				end++
			}
			return int(end) < len(s.toks) && s.toks[end].before == brkNone && l.predicateAt(s, end)
		}
	}
	return false
}

// negatedList returns the token up to which commas belong to a list under one
// negation, such as "no smoke, sparks or flames"; i when there is none.
func (l *Lexicon) negatedList(s *scratch, from, i int) int {
	negated := false
	for j := from; j < i; j++ {
		negated = negated || s.opens[j]&(1<<roleNegation|1<<roleReverse) != 0
	}
	if !negated {
		return i
	}
	for j := i; j < len(s.toks) && j < i+10; j++ {
		c := l.classOf(s.toks[j])
		if s.toks[j].before == brkSentence || c&(clsAux|clsPronoun|clsSplit|clsAnd) != 0 ||
			s.opens[j]&(1<<roleNegation|1<<roleReverse) != 0 && c&clsOr == 0 {
			return i
		}
		if c&clsOr != 0 {
			return j + 1
		}
	}
	return i
}

// describe fills the fields of every clause that patterns and filters ask for.
func (l *Lexicon) describe(s *scratch, fam *family) {
	h := int32(0)
	for ci := range s.clauses {
		c := &s.clauses[ci]
		c.hitStart = h
		for h < int32(len(s.hits)) && s.hits[h].start < c.end {
			x := &s.hits[h]
			c.roles |= 1 << x.role
			c.concepts.set(x.concept)
			if x.role == roleComponent && !s.within[x.start] && !l.afterPreposition(s, c, x.start) {
				c.subject.set(x.concept)
			}
			h++
		}
		c.hitEnd = h
		for j := c.start; j < c.end; j++ {
			c.classes |= l.classOf(s.toks[j])
		}
		expletive := false
		for j := c.start; j < c.end && j < c.start+3; j++ {
			c.condition = c.condition || j < c.start+2 && l.classOf(s.toks[j])&clsIf != 0
			expletive = expletive || l.classOf(s.toks[j])&clsExpletive != 0
			c.temporal = c.temporal || l.classOf(s.toks[j])&clsWhen != 0
		}
		// The sentence is a question when its last token says so.
		for j := c.end - 1; int(j) < len(s.toks); j++ {
			if s.toks[j].question {
				c.question = true
			}
			if int(j)+1 >= len(s.toks) || s.toks[j+1].before == brkSentence || j > c.end+maxClause {
				break
			}
		}
		if ci > 0 {
			p := &s.clauses[ci-1]
			same := p.sentence == c.sentence
			pronoun := l.classOf(s.toks[c.start])&clsPronoun != 0
			if c.subject.empty() && !expletive && (same || pronoun) {
				c.carried = p.subject
				if p.subject.empty() {
					c.carried = p.carried
				}
			}
			if same && l.classOf(s.toks[c.start])&clsUntil != 0 {
				p.until = true
			}
		}
		c.other = l.aboutOther(s, ci, fam)
	}
}

// afterPreposition tells whether the noun at token i depends on a preposition.
func (l *Lexicon) afterPreposition(s *scratch, c *clause, i int32) bool {
	for j := i - 1; j >= c.start && j >= i-4; j-- {
		cl := l.classOf(s.toks[j])
		if cl&clsPrep != 0 {
			return true
		}
		if cl&(clsDet|clsLight) == 0 && s.opens[j]&(1<<roleComponent) == 0 && !s.inside[j] {
			return false
		}
	}
	return false
}

// aboutOther tells whether the clause speaks of another machine or household.
func (l *Lexicon) aboutOther(s *scratch, ci int, fam *family) bool {
	c := &s.clauses[ci]
	if c.is(roleHearsay) {
		return true
	}
	other, own := false, false
	for h := c.hitStart; h < c.hitEnd; h++ {
		x := &s.hits[h]
		switch x.role {
		case roleMachine:
			mine := fam == nil || fam.own.has(x.concept)
			never := l.never.has(x.concept)
			if mine && !never {
				own = own || !other
				continue
			}
			if never {
				other = true
				continue
			}
			if !own && l.opensAsSubject(s, c, x.start) {
				other = true
			}
		case roleOwner:
			other = other || l.ownsMachine(s, c, x)
		case roleComponent:
			own = own || !other && c.subject.has(x.concept)
		}
		if other {
			return true
		}
	}
	// A clause without a subject of its own stays with the one before.
	if ci > 0 && !own {
		p := &s.clauses[ci-1]
		first := l.classOf(s.toks[c.start])
		return p.other && p.sentence == c.sentence && c.subject.empty() &&
			first&(clsAux|clsSplit) == 0
	}
	return false
}

// opensAsSubject tells whether only determiners and adjectives stand between
// the start of the clause and token i.
func (l *Lexicon) opensAsSubject(s *scratch, c *clause, i int32) bool {
	if i-c.start > 5 {
		return false
	}
	for j := c.start; j < i; j++ {
		cl := l.classOf(s.toks[j])
		if cl&(clsPrep|clsAux|clsHave|clsPronoun) != 0 || s.opens[j]&(predicates&^(1<<roleGood)) != 0 {
			return false
		}
	}
	return true
}

// ownsMachine tells whether the person in hit x owns the machine spoken of:
// "neighbour's dryer", "a friend had one".
func (l *Lexicon) ownsMachine(s *scratch, c *clause, x *hit) bool {
	mark := false
	for j := x.end; j < c.end && j < x.end+5; j++ {
		cl := l.classOf(s.toks[j])
		if cl&(clsPossess|clsHave) != 0 {
			mark = true
			continue
		}
		if mark && s.opens[j]&(1<<roleMachine) != 0 {
			return true
		}
		if cl&(clsDet|clsLight) == 0 && s.opens[j]&(1<<roleOwner) == 0 {
			return false
		}
	}
	return false
}
