package knowledge

import (
	"slices"

	"onevisit/diagnosis/evidence"
)

// Exclusive reports whether findings a and b (indices in f.Findings) cannot
// both hold, as the questions have it: one answer of a question reports a present
// and b absent, and another the reverse.
func (f *Family) Exclusive(a, b int) bool {
	return slices.ContainsFunc(f.Questions, func(q Question) bool {
		return q.tells(a, b) && q.tells(b, a)
	})
}

// tells reports whether some answer says that here holds and there does not.
func (q Question) tells(here, there int) bool {
	return slices.ContainsFunc(q.Answers, func(a Answer) bool {
		return slices.ContainsFunc(a.Reports, func(r Report) bool { return r.Finding == here && r.Present }) &&
			slices.ContainsFunc(a.Reports, func(r Report) bool { return r.Finding == there && !r.Present })
	})
}

// Plainest leaves out of said what is reported present although something that
// excludes it (see Exclusive) is reported present more plainly, with a higher
// Ratio. Of two that are equally plain both stay: the caller contradicts himself,
// and that is for a question to settle. Findings f does not have stay. The order
// stays, said is not written to.
func (f *Family) Plainest(said []evidence.Observation) []evidence.Observation {
	kept := make([]evidence.Observation, 0, len(said))
	for _, o := range said {
		at, known := f.FindingIndex(o.Finding)
		if o.Present && known && slices.ContainsFunc(said, func(other evidence.Observation) bool {
			against, ok := f.FindingIndex(other.Finding)
			return ok && other.Present && other.Ratio > o.Ratio && f.Exclusive(at, against)
		}) {
			continue
		}
		kept = append(kept, o)
	}
	return kept
}
