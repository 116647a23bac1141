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
			if c.other && !p.other || !present && (p.present || p.absent || c.concepts.meets(&p.block)) || c.concepts.meets(&p.exclude) || c.carried.meets(&p.exclude) {
				continue
			}
			from, to, ok := l.fill(s, ci, i, p)
			if !ok || !p.excludeN.empty() && l.near(s, ci, &item{set: p.excludeN}) ||
				!present && !p.blockN.empty() && l.near(s, ci, &item{set: p.blockN}) {
				continue
			}
			emit(p, h, present != p.absent, from, to)
		}
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
	var at [maxItems]int32
	n := len(p.items)
	for i := range at {
		at[i] = -1
	}
	at[p.order[n]] = h.start
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
				if gap > maxGap || !p.inOrder(k, x.start, &at) {
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
			at[p.order[k]] = x.start
			from, to = min(from, x.start), max(to, x.end)
		case it.near && l.near(s, ci, it):
		case it.sign == anySign && it.is.empty() && it.not.empty() && c.carried.meets(&it.set):
		default:
			return 0, 0, false
		}
	}
	return from, to, true
}

// inOrder checks item k at token start against the items already placed.
func (p *pattern) inOrder(k int, start int32, at *[maxItems]int32) bool {
	pos := p.order[k]
	if p.items[k].ordered && pos > 0 && at[pos-1] >= 0 && at[pos-1] >= start {
		return false
	}
	// The item after this one may be ordered and already placed (the anchor).
	if n := len(p.items); p.anchor.ordered && p.order[n] == pos+1 && at[p.order[n]] <= start {
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
