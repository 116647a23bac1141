package wording

import (
	"cmp"
	"math"
	"slices"

	"onevisit/diagnosis/evidence"
)

// Read turns text into what it says about an appliance of the family. For a
// family the lexicon does not know only hazards are read. It is deterministic,
// safe for concurrent use, and never fails: any bytes are allowed. Cost is
// linear in the length of the text.
func (l *Lexicon) Read(text, family string) Reading {
	return l.read(text, l.families[family])
}

func (l *Lexicon) read(text string, fam *family) Reading {
	s := l.pool.Get().(*scratch)
	defer l.pool.Put(s)
	r := l.readInto(s, text, fam)
	if fam != nil && r.Informative {
		r.Likeness = l.likenesses(s, text, fam, r)
	}
	return r
}

// readInto reads everything but likeness, and leaves in s what it is made of.
func (l *Lexicon) readInto(s *scratch, text string, fam *family) Reading {
	s.toks, s.buf = l.tokenise(s.toks[:0], text, s.buf)
	s.hits, s.nodes = l.find(s.hits[:0], s.toks, s.nodes)
	l.segment(s)
	l.describe(s, fam)
	s.reports, s.parts, s.ignored, s.hazards = s.reports[:0], s.parts[:0], s.ignored[:0], s.hazards[:0]
	s.denied, s.ruledOut = s.denied[:0], s.ruledOut[:0]
	for ci := range s.clauses {
		l.polarise(s, ci)
	}
	for ci := range s.clauses {
		c := &s.clauses[ci]
		if c.other {
			s.ignore(text, c, OtherMachine)
			if fam != nil {
				l.findingsOf(s, ci, fam) // patterns with {other} only
			}
			continue
		}
		if c.is(rolePastLong) {
			s.ignore(text, c, LongAgo)
			if fam != nil {
				l.partsOf(s, ci, fam, true)
			}
			continue
		}
		l.hazardsOf(s, ci, fam, text)
		if fam != nil {
			l.findingsOf(s, ci, fam)
			l.partsOf(s, ci, fam, false)
		}
	}
	r := Reading{}
	if fam != nil {
		l.learned(s, text, fam)
		l.combine(s, fam)
		r.Observations = l.observations(s, text, fam)
		l.amounting(s, r.Observations, fam)
		r.Parts = l.mentions(s, text, fam)
	}
	r.Hazards = mergeHazards(s.hazards)
	r.Ignored = slices.Clone(s.ignored)
	r.Informative = len(r.Hazards) > 0
	for _, o := range r.Observations {
		r.Informative = r.Informative || o.Ratio > 1
	}
	for _, p := range r.Parts {
		r.Informative = r.Informative || p.Kind != evidence.Theory
	}
	return r
}

func (s *scratch) span(from, to int32) (start, end int32) {
	return s.toks[from].start, s.toks[to-1].end
}

func (s *scratch) ignore(text string, c *clause, why Reason) {
	a, b := s.span(c.start, c.end)
	s.ignored = append(s.ignored, Ignored{why, text[a:b], int(a), int(b)})
}

// strengthOf returns the ratio for a report in clause c.
func (l *Lexicon) strengthOf(c *clause, p *pattern, h *hit, present bool) float64 {
	// "If I push it, it goes" tells what happens; "if I push it, would it go?" asks.
	condition := c.condition && (!p.when || c.question || c.classes&clsModal != 0)
	hedged := c.is(roleHedge) || c.is(roleTheory) || condition
	indirect := p.indirect || h.weak
	st := &l.strengths
	switch {
	case !present && (hedged || indirect):
		return st.AbsentHedged
	case !present:
		return st.Absent
	case indirect && hedged:
		return math.Sqrt(st.Hedged * 1) // two doubts: half of a hedge in log-odds
	case hedged:
		return st.Hedged
	case indirect:
		return st.Indirect
	case p.strong || c.is(roleEmphasis):
		return st.Emphatic
	}
	return st.Plain
}

func (l *Lexicon) findingsOf(s *scratch, ci int, fam *family) {
	c := &s.clauses[ci]
	l.match(s, ci, &fam.patterns, func(p *pattern, h *hit, present bool, from, to int32) {
		ratio := l.strengthOf(c, p, h, present)
		anomaly := p.anchor.sign == affirmed
		if c.is(rolePastHabit) {
			// "used to squeal" says that it does not now; "used to heat" is
			// left to the rest of the text.
			if !anomaly || !present {
				return
			}
			present, ratio = false, l.strengths.AbsentHedged
		}
		// What it did well until something happened says nothing of today.
		if !present && !anomaly && (h.start > 0 && l.vocab.words[s.toks[h.start-1].surf].text == l.infinitive || c.until || c.is(roleAttempt) || c.classes&clsPast != 0) {
			return
		}
		a, b := s.span(from, to)
		s.reports = append(s.reports, report{code: p.code, present: present, ratio: ratio, start: a, end: b, clause: int32(ci)})
	})
}

// hazardsOf reads dangers. A hedge lowers the ratio and never hides one.
func (l *Lexicon) hazardsOf(s *scratch, ci int, fam *family, text string) {
	c := &s.clauses[ci]
	if c.is(rolePastHabit) || c.condition && (c.question || c.classes&clsModal != 0) {
		return
	}
	l.match(s, ci, &l.hazards, func(p *pattern, h *hit, present bool, from, to int32) {
		if fam != nil && fam.calm.has(h.concept) {
			return
		}
		a, b := s.span(from, to)
		if !present {
			s.ignored = append(s.ignored, Ignored{Denied, text[a:b], int(a), int(b)})
			s.denied = append(s.denied, p.code)
			return
		}
		s.hazards = append(s.hazards, HazardHit{
			Code: l.hazardCodes[p.code], Ratio: l.strengthOf(c, p, h, true),
			Words: text[a:b], Start: int(a), End: int(b),
		})
	})
}

// amounting adds the hazards that findings heard amount to: what the trained
// model or a combination heard of a danger is a report of it too, unless the text
// denies that danger.
func (l *Lexicon) amounting(s *scratch, heard []evidence.Observation, fam *family) {
	for _, o := range heard {
		code, ok := fam.dangers[o.Finding]
		if !ok || !o.Present || o.Ratio < l.hazardLeast || o.Ratio < l.strengths.Plain && slices.Contains(s.denied, code) {
			continue
		}
		s.hazards = append(s.hazards, HazardHit{
			Code: l.hazardCodes[code], Ratio: o.Ratio, Words: o.Words, Start: o.Start, End: o.End,
		})
	}
}

func mergeHazards(all []HazardHit) []HazardHit {
	var out []HazardHit
	for _, h := range all {
		i := slices.IndexFunc(out, func(o HazardHit) bool { return o.Code == h.Code })
		switch {
		case i < 0:
			out = append(out, h)
		case h.Ratio > out[i].Ratio:
			out[i] = h
		}
	}
	slices.SortStableFunc(out, func(a, b HazardHit) int { return cmp.Compare(a.Start, b.Start) })
	return out
}

// combine adds findings that follow from others said in the same text, such as
// "hums" and "does not turn" in two sentences.
func (l *Lexicon) combine(s *scratch, fam *family) {
	for _, cb := range fam.combine {
		var last *report
		ratio := math.Inf(1)
		ok := true
		for _, want := range cb.all {
			found := false
			for i := range s.reports {
				r := &s.reports[i]
				if r.code == want.code && r.present == want.present {
					found = true
					ratio = min(ratio, r.ratio)
					last = r
				}
			}
			ok = ok && found
		}
		for _, not := range cb.none {
			for i := range s.reports {
				ok = ok && !(s.reports[i].code == not.code && s.reports[i].present == not.present)
			}
		}
		if ok && last != nil {
			if !cb.present {
				ratio = min(ratio, l.strengths.Absent)
			}
			s.reports = append(s.reports, report{code: cb.code, present: cb.present, ratio: ratio,
				start: last.start, end: last.end, clause: last.clause})
		}
	}
}

// observations merges the reports: one per finding. Of two that agree the
// stronger stays. Of two that contradict the stronger wins, the later when
// equal; when they are about as strong the caller means that it comes and goes,
// and the ratio falls to that of a hedge.
func (l *Lexicon) observations(s *scratch, text string, fam *family) []evidence.Observation {
	type slot struct {
		best     report
		conflict bool
		set      bool
	}
	slots := make([]slot, len(fam.codes))
	n := 0
	for _, r := range s.reports {
		x := &slots[r.code]
		if !x.set {
			x.best, x.set = r, true
			n++
			continue
		}
		if x.best.present != r.present && 2*min(x.best.ratio, r.ratio) >= max(x.best.ratio, r.ratio) {
			x.conflict = true
		}
		if r.ratio > x.best.ratio || r.ratio == x.best.ratio && r.present != x.best.present {
			x.best = r
		}
	}
	if n == 0 {
		return nil
	}
	out := make([]evidence.Observation, 0, n)
	for code := range slots {
		x := &slots[code]
		if !x.set || fam.codes[code] == "" || fam.internal[code] {
			continue
		}
		ratio := x.best.ratio
		if x.conflict {
			ratio = min(ratio, l.strengths.Hedged)
		}
		out = append(out, evidence.Observation{
			Finding: fam.codes[code], Present: x.best.present, Ratio: ratio, Source: evidence.Said,
			Words: text[x.best.start:x.best.end], Start: int(x.best.start), End: int(x.best.end),
		})
	}
	slices.SortStableFunc(out, func(a, b evidence.Observation) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.Finding, b.Finding))
	})
	return out
}
