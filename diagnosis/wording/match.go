package wording

// report is a pattern's match before merging.
type report struct {
	code       int16
	present    bool
	ratio      float64
	start, end int32 // bytes
	clause     int32
}

// maxGap is the greatest number of tokens between the anchor and another item
// of the same clause.
const maxGap = 12

// match runs the patterns of set over clause ci and calls emit for each match.
func (l *Lexicon) match(s *scratch, ci int, set *patternSet, emit func(p *pattern, h *hit, present bool, from, to int32)) {
	c := &s.clauses[ci]
	for i := c.hitStart; i < c.hitEnd; i++ {
		h := &s.hits[i]
		if h.used && h.role != roleNegation && 1<<h.role&(1<<roleFunction) == 0 {
			continue
		}
		for _, pi := range set.byAnchor[h.concept] {
			p := &set.list[pi]
			present := (p.anchor.sign == negated) == h.neg
			if c.other && !p.other || !present && (p.present || p.absent || c.concepts.meets(&p.block)) {
				continue
			}
			if c.concepts.meets(&p.exclude) || c.carried.meets(&p.exclude) {
				l.ruleOut(s, ci, i, set, p, present)
				continue
			}
			if p.itself && l.deliberate(s, ci, h.start) {
				if set == &l.hazards {
					s.denied = append(s.denied, p.code)
				}
				continue
			}
			from, to, ok := l.fill(s, ci, i, p)
			if !ok || !present && !p.blockN.empty() && l.near(s, ci, &item{set: p.blockN}) {
				continue
			}
			if !p.excludeN.empty() && l.near(s, ci, &item{set: p.excludeN}) {
				l.ruleOut(s, ci, i, set, p, present)
				continue
			}
			emit(p, h, present != p.absent, from, to)
		}
	}
}

// ruleOut notes that p would have matched but for an exclusion: who wrote the
// pattern foresaw these words and they do not report the finding, so the trained
// model has no say in them either.
func (l *Lexicon) ruleOut(s *scratch, ci int, a int32, set *patternSet, p *pattern, present bool) {
	if set == &l.hazards {
		return
	}
	if _, _, ok := l.fill(s, ci, a, p); ok {
		from, to := s.span(s.clauses[ci].start, s.clauses[ci].end)
		s.ruledOut = append(s.ruledOut, report{code: p.code, present: present != p.absent, start: from, end: to})
	}
}

// fill looks for the other items of p around anchor hit a in clause ci, and
// returns the token span of what was found in the clause.
func (l *Lexicon) fill(s *scratch, ci int, a int32, p *pattern) (from, to int32, ok bool) {
	c := &s.clauses[ci]
	h := &s.hits[a]
	from, to = h.start, h.end
	if h.trigger >= 0 {
		from, to = min(from, h.trigger), max(to, h.triggerEnd)
	}
	// Start of each item by position in the source, for ">".
	var at, ends [maxItems]int32
	n := len(p.items)
	for i := range at {
		at[i] = -1
	}
	at[p.order[n]], ends[p.order[n]] = h.start, h.end
	for k := range p.items {
		it := &p.items[k]
		if it.optional {
			if !c.subject.empty() && !c.subject.meets(&it.set) {
				return 0, 0, false
			}
			continue
		}
		best := int32(-1)
		if c.concepts.meets(&it.set) && (!it.during || c.temporal) {
			for j := c.hitStart; j < c.hitEnd; j++ {
				x := &s.hits[j]
				if j == a || !it.allows(x) ||
					x.start == h.start && x.end == h.end {
					continue
				}
				gap := max(x.start-h.end, h.start-x.end)
				if gap > maxGap || !p.inOrder(k, x, &at, &ends) {
					continue
				}
				if best < 0 || gap < max(s.hits[best].start-h.end, h.start-s.hits[best].end) {
					best = j
				}
			}
		}
		switch {
		case best >= 0:
			x := &s.hits[best]
			at[p.order[k]], ends[p.order[k]] = x.start, x.end
			from, to = min(from, x.start), max(to, x.end)
		case it.near && l.near(s, ci, it):
		case it.sign == anySign && it.is.empty() && it.not.empty() && c.carried.meets(&it.set):
		default:
			return 0, 0, false
		}
	}
	return from, to, true
}

// atOnceGap is the number of words that may stand between items joined by ">>".
const atOnceGap = 3

// inOrder checks item k at hit x against the items already placed.
func (p *pattern) inOrder(k int, x *hit, at, ends *[maxItems]int32) bool {
	pos, start := p.order[k], x.start
	if p.items[k].ordered && pos > 0 && at[pos-1] >= 0 &&
		(at[pos-1] >= start || p.items[k].atOnce && start-ends[pos-1] > atOnceGap) {
		return false
	}
	// The item after this one may be ordered and already placed (the anchor).
	if n := len(p.items); p.anchor.ordered && p.order[n] == pos+1 && (at[p.order[n]] <= start || p.anchor.atOnce && at[p.order[n]]-x.end > atOnceGap) {
		return false
	}
	return true
}

func (s sign) allows(h *hit) bool {
	return s == anySign || (s == negated) == h.neg
}

// near looks in the clauses around ci: two on either side in the same
// sentence, one across a sentence mark.
func (l *Lexicon) near(s *scratch, ci int, it *item) bool {
	c := &s.clauses[ci]
	for d := -2; d <= 2; d++ {
		j := ci + d
		if d == 0 || j < 0 || j >= len(s.clauses) {
			continue
		}
		o := &s.clauses[j]
		if o.sentence != c.sentence && d != -1 && d != 1 || !o.concepts.meets(&it.set) || o.other || it.during && !o.temporal {
			continue
		}
		for k := o.hitStart; k < o.hitEnd; k++ {
			if it.allows(&s.hits[k]) {
				return true
			}
		}
	}
	return false
}

// deliberate tells whether a person is the subject of the verb at token i of
// clause ci, or of the verb just before it: "I switched it off", "my husband has thrown the switch", and by
// what came before "I got up and threw the switch".
func (l *Lexicon) deliberate(s *scratch, ci int, i int32) bool {
	c := &s.clauses[ci]
	verbs := 0
	for j := i - 1; j >= c.start; j-- {
		cl := l.classOf(s.toks[j])
		switch {
		case cl&clsPerson != 0, s.opens[j]&(1<<roleOwner) != 0:
			return true
		case cl&clsPronoun != 0, s.opens[j]&(1<<roleSeen) != 0, cl&clsCognition != 0:
			return false // it does, or the person only sees it
		case cl&(clsAux|clsLight|clsAnd|clsSplit|clsHave|clsEnd) == 0 && !s.inside[j]:
			if verbs++; verbs > 1 {
				return false
			}
		}
	}
	if ci == 0 || s.clauses[ci-1].sentence != c.sentence || l.classOf(s.toks[c.start])&clsAnd == 0 {
		return false
	}
	p := &s.clauses[ci-1]
	for j := p.start; j < p.end && j < p.start+3; j++ {
		cl := l.classOf(s.toks[j])
		if cl&clsPerson != 0 || s.opens[j]&(1<<roleOwner) != 0 {
			return true
		}
		if cl&(clsDet|clsLight|clsAnd|clsSplit) == 0 {
			return false
		}
	}
	return false
}
