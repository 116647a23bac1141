package wording

import (
	"cmp"
	"slices"

	"onevisit/diagnosis/evidence"
)

// partReport is a mention before merging.
type partReport struct {
	part       int16
	kind       evidence.Mention
	ratio      float64
	start, end int32
}

// partsOf reads mentions of part kinds in one clause. Of a time that is over only
// a replacement still counts.
func (l *Lexicon) partsOf(s *scratch, ci int, fam *family, over bool) {
	c := &s.clauses[ci]
	for i := c.hitStart; i < c.hitEnd; i++ {
		h := &s.hits[i]
		for _, part := range fam.partsOf[h.concept] {
			kind, ratio, from, to := l.mention(s, ci, h, fam.parts[part].visible)
			if kind == evidence.MentionInvalid || over && kind != evidence.Replaced {
				continue
			}
			a, b := s.span(from, to)
			s.parts = append(s.parts, partReport{part, kind, ratio, a, b})
		}
	}
}

// mention says how the clause speaks of the part in hit h.
func (l *Lexicon) mention(s *scratch, ci int, h *hit, visible bool) (kind evidence.Mention, ratio float64, from, to int32) {
	c := &s.clauses[ci]
	st := &l.strengths
	from, to = h.start, h.end
	cue := func(r role, sg sign) *hit {
		var best *hit
		for j := c.hitStart; j < c.hitEnd; j++ {
			x := &s.hits[j]
			if x.role == r && sg.allows(x) && x != h &&
				(best == nil || gapOf(x, h) < gapOf(best, h)) && gapOf(x, h) <= maxGap/2 {
				best = x
			}
		}
		if best != nil {
			from, to = min(h.start, best.start), max(h.end, best.end)
			if best.trigger >= 0 {
				from, to = min(from, best.trigger), max(to, best.triggerEnd)
			}
		}
		return best
	}
	guess := c.is(roleTheory) || c.is(roleHedge) || c.question || c.condition
	switch {
	case cue(roleNeed, affirmed) != nil:
		return evidence.Theory, st.Theory, from, to
	case cue(roleReplaced, affirmed) != nil && !c.question:
		return evidence.Replaced, st.Replaced, from, to
	case cue(roleDamaged, negated) != nil, cue(roleCondemned, negated) != nil,
		cue(roleGood, affirmed) != nil && c.roles&(1<<roleDamaged|1<<roleCondemned) == 0:
		if guess {
			return evidence.SeenGood, st.SeenGoodHedged, from, to
		}
		return evidence.SeenGood, st.SeenGood, from, to
	case cue(roleDamaged, affirmed) != nil:
		seen := c.is(roleSeen) || l.near(s, ci, &item{set: l.seen, is: l.seen})
		switch {
		case guess && !seen:
			return evidence.Theory, st.Theory, from, to
		case visible || seen:
			return evidence.SeenBad, st.SeenBad, from, to
		}
		return evidence.SeenBad, st.SaidBad, from, to
	case cue(roleCondemned, affirmed) != nil && !guess && (c.is(roleSeen) || l.near(s, ci, &item{set: l.seen, is: l.seen})):
		return evidence.SeenBad, st.SeenBad, from, to
	case cue(roleCondemned, affirmed) != nil, cue(roleTheory, affirmed) != nil, c.question:
		return evidence.Theory, st.Theory, from, to
	}
	return evidence.MentionInvalid, 0, 0, 0
}

func gapOf(a, b *hit) int32 { return max(a.start-b.end, b.start-a.end) }

// mentions merges the reports: one per part and kind, the most telling stays.
func (l *Lexicon) mentions(s *scratch, text string, fam *family) []evidence.PartMention {
	var out []evidence.PartMention
	for _, r := range s.parts {
		m := evidence.PartMention{
			PartKind: fam.parts[r.part].kind, Kind: r.kind, Ratio: r.ratio,
			Words: text[r.start:r.end], Start: int(r.start), End: int(r.end),
		}
		i := slices.IndexFunc(out, func(o evidence.PartMention) bool {
			return o.PartKind == m.PartKind && o.Kind == m.Kind
		})
		switch {
		case i < 0:
			out = append(out, m)
		case m.Ratio > 1 && m.Ratio > out[i].Ratio, m.Ratio < 1 && m.Ratio < out[i].Ratio:
			out[i] = m
		}
	}
	slices.SortStableFunc(out, func(a, b evidence.PartMention) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.PartKind, b.PartKind))
	})
	return out
}
