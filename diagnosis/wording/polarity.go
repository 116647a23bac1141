package wording

// The polarity of a hit follows NegEx (Chapman, Bridewell, Hanbury, Cooper,
// Buchanan 2001, Journal of Biomedical Informatics 34(5), 301–310): pseudo
// phrases are recognised first because they are terms of several words, a
// trigger before negates what starts within the window, a trigger behind
// negates what it directly follows, and certain words end the scope.
//
// Beyond NegEx, reversals are counted. Several plain negations in one clause
// are one, as in "doesn't make no noise"; a reversal ("without", "stopped
// heating") turns the sense round, so "not without noise" is affirmed.

const targets = 1<<roleComponent | 1<<roleFunction | 1<<roleAnomaly | 1<<roleDamaged | 1<<roleCondemned | 1<<roleGood |
	1<<roleReplaced | 1<<roleNeed | 1<<roleContext | 1<<roleAfter | 1<<roleAfterFunction | 1<<roleSeen

// polarise sets neg, weak and used on the hits of one clause.
func (l *Lexicon) polarise(s *scratch, ci int) {
	c := &s.clauses[ci]
	hits := s.hits[c.hitStart:c.hitEnd]
	const triggers = 1<<roleNegation | 1<<roleReverse | 1<<roleReverseIng | 1<<roleTrouble |
		1<<roleFree | 1<<roleBarely
	if c.roles&(triggers|1<<roleAfter|1<<roleAfterFunction) == 0 {
		l.reply(s, ci)
		return
	}
	for i := range hits {
		if 1<<hits[i].role&triggers != 0 {
			l.spread(s, c, hits, i)
		}
	}
	for i := range hits {
		if 1<<hits[i].role&(1<<roleAfter|1<<roleAfterFunction|1<<roleTrouble|1<<roleBarely) != 0 && !hits[i].neg {
			l.spreadBack(s, c, hits, i)
		}
	}
	l.ellipsis(s, ci)
	// What served as a trigger says nothing else: "stopped heating" is no stop.
	for i := range hits {
		if !hits[i].used {
			continue
		}
		for j := range hits {
			if j != i && hits[j].start >= hits[i].start && hits[j].end <= hits[i].end {
				hits[j].used = true
			}
		}
	}
}

// reply completes "any smoke? none": a bare negation right behind a short question
// denies what was asked.
func (l *Lexicon) reply(s *scratch, ci int) {
	const short = 6 // tokens; longer questions tell a story that a "no" may not deny
	c := &s.clauses[ci]
	first, last := ci, ci
	for first > 0 && s.clauses[first-1].sentence == c.sentence {
		first--
	}
	for last+1 < len(s.clauses) && s.clauses[last+1].sentence == c.sentence {
		last++
	}
	end := s.clauses[last].end
	if last+1 == len(s.clauses) || !s.toks[end-1].question || end-s.clauses[first].start > short {
		return
	}
	answer := &s.clauses[last+1]
	if s.opens[answer.start]&(1<<roleNegation) == 0 {
		return
	}
	for j := answer.start + 1; j < answer.end; j++ {
		if s.opens[j]&(1<<roleNegation) == 0 && !s.inside[j] {
			return // "not now" is no plain no
		}
	}
	for k := c.hitStart; k < c.hitEnd; k++ {
		if h := &s.hits[k]; 1<<h.role&targets != 0 {
			h.neg = true
		}
	}
	// The answer has said what it has to say.
	for k := answer.hitStart; k < answer.hitEnd; k++ {
		s.hits[k].used = s.hits[k].role == roleNegation
	}
}

// spread applies the trigger hits[t] to what follows.
func (l *Lexicon) spread(s *scratch, c *clause, hits []hit, t int) {
	tr := &hits[t]
	if tr.role == roleReverseIng && !l.gerundFollows(s, c, tr.end) {
		return
	}
	dist, negated := 0, 0
	next := 0
	for j := tr.end; j < c.end; j++ {
		cl := l.classOf(s.toks[j])
		prev := l.classOf(s.toks[j-1])
		switch {
		case cl&clsEnd != 0 && !s.inside[j] && !s.wide[j]:
			return
		case cl&clsPronoun != 0 && prev&(clsTaker|clsCognition|clsPrep) == 0 && j > tr.end && l.predicateAt(s, j+1):
			return
		case cl&clsPrep != 0 && cl&clsLight == 0 && negated > 0 && !s.inside[j] && !s.wide[j] &&
			s.opens[j]&(1<<roleReverse) == 0:
			return
		case negated > 0 && s.opens[j]&(1<<roleComponent) != 0 && !s.inside[j] && l.finiteFollows(s, c, j):
			return
		case cl&clsOr != 0:
			dist = 0
			continue
		}
		for next < len(hits) && hits[next].start < j {
			next++
		}
		for k := next; k < len(hits) && hits[k].start == j; k++ {
			h := &hits[k]
			if k == t || 1<<h.role&targets == 0 {
				continue
			}
			// A circumstance or a thing is denied only when it is what the
			// negation is about: "not overloaded", "no water", but not "won't
			// spin my bath mat", "never heats the water".
			if h.role == roleContext && (negated > 0 || dist > 2) || h.role == roleComponent && negated > 0 {
				continue
			}
			switch tr.role {
			case roleTrouble:
				if h.role != roleFunction {
					continue
				}
			case roleFree:
				if h.role != roleAnomaly {
					continue
				}
			case roleBarely:
				h.weak = true
			}
			if tr.role == roleReverse || tr.role == roleReverseIng {
				h.neg = !h.neg
				tr.used = true
			} else if !h.concord {
				h.neg = !h.neg
				h.concord = true
				tr.used = true
			}
			if h.trigger < 0 || tr.start < h.trigger {
				h.trigger, h.triggerEnd = tr.start, tr.end
			}
			if 1<<h.role&(1<<roleFunction|1<<roleAnomaly) != 0 {
				negated++
			}
		}
		if cl&clsLight == 0 {
			dist++
		}
		if dist > l.window {
			return
		}
	}
}

// gerundFollows tells whether a gerund or an infinitive follows within three
// tokens.
func (l *Lexicon) gerundFollows(s *scratch, c *clause, i int32) bool {
	for j := i; j < c.end && j < i+3; j++ {
		w := &l.vocab.words[s.toks[j].surf]
		if w.gerund || w.text == l.infinitive {
			return true
		}
		if w.classes&(clsPronoun|clsDet|clsLight) == 0 {
			return false
		}
	}
	return false
}

// finiteFollows tells whether a component at token i is the subject of a finite
// verb: "no heat drum turns", but not "no water coming in".
func (l *Lexicon) finiteFollows(s *scratch, c *clause, i int32) bool {
	end := i + 1
	for end < c.end && s.inside[end] {
		end++
	}
	if end >= c.end {
		return false
	}
	w := &l.vocab.words[s.toks[end].surf]
	return !w.gerund && l.predicateAt(s, end)
}

// spreadBack applies a trigger that follows: "the heat has gone".
func (l *Lexicon) spreadBack(s *scratch, c *clause, hits []hit, t int) {
	tr := &hits[t]
	j := tr.start - 1
	for n := 0; j >= c.start && n < 5; n++ {
		found := false
		for k := t - 1; k >= 0; k-- {
			h := &hits[k]
			if h.end-1 != j || h.start >= tr.start || h.role != roleFunction && (h.role != roleAnomaly || tr.role != roleAfter && tr.role != roleBarely) {
				continue
			}
			if tr.role == roleBarely {
				if h.concord {
					continue
				}
				h.weak, h.concord = true, true
			}
			h.neg = !h.neg
			if h.trigger < 0 {
				h.trigger, h.triggerEnd = tr.start, tr.end
			} else {
				h.triggerEnd = max(h.triggerEnd, tr.end)
			}
			tr.used, found = true, true
		}
		cl := l.classOf(s.toks[j])
		if !found && cl&(clsAux|clsLight|clsPossess|clsEnd) == 0 || cl&clsPronoun != 0 {
			return
		}
		j--
	}
}

// ellipsis completes "the motor runs but the drum doesn't": a negation at the
// end of a clause, after an auxiliary and with nothing to negate, takes the
// verb of the clause before.
func (l *Lexicon) ellipsis(s *scratch, ci int) {
	if ci == 0 || s.clauses[ci-1].sentence != s.clauses[ci].sentence {
		return
	}
	c, p := &s.clauses[ci], &s.clauses[ci-1]
	for i := c.hitStart; i < c.hitEnd; i++ {
		h := &s.hits[i]
		if h.role != roleNegation || h.used || h.start == c.start ||
			l.classOf(s.toks[h.start-1])&clsAux == 0 || c.subject.empty() {
			continue
		}
		for j := h.end; j < c.end; j++ {
			if l.classOf(s.toks[j])&(clsLight|clsEnd) == 0 {
				return
			}
		}
		if c.roles&(1<<roleFunction|1<<roleAnomaly) != 0 {
			return
		}
		for k := p.hitStart; k < p.hitEnd; k++ {
			v := &s.hits[k]
			if v.role == roleFunction && !v.neg {
				// The negation itself stands for the verb from here on.
				h.concept, h.role, h.neg = v.concept, roleFunction, true
				h.trigger, h.triggerEnd = h.start, h.end
				c.concepts.set(v.concept)
				c.roles |= 1 << roleFunction
				return
			}
		}
	}
}
