package wording

import (
	"fmt"
	"maps"
	"slices"

	"onevisit/diagnosis/gist"
)

// Hearing counts how phrases were understood: findings that were said and heard,
// said and missed, and heard though not said.
type Hearing struct {
	Hit, Missed, Wrong int
	// Chatter are phrases without a finding, and Fooled those in which one was
	// heard.
	Chatter, Fooled int
}

// Add adds the counts of o.
func (h *Hearing) Add(o Hearing) {
	h.Hit += o.Hit
	h.Missed += o.Missed
	h.Wrong += o.Wrong
	h.Chatter += o.Chatter
	h.Fooled += o.Fooled
}

// String gives recall, precision and how often chatter fooled it.
func (h Hearing) String() string {
	part := func(a, b int) float64 {
		if b == 0 {
			return 1
		}
		return float64(a) / float64(b)
	}
	return fmt.Sprintf("recall %.3f, precision %.3f, fooled by chatter %.3f (%d said, %d chatter)",
		part(h.Hit, h.Hit+h.Missed), part(h.Hit, h.Hit+h.Wrong), part(h.Fooled, h.Chatter), h.Hit+h.Missed, h.Chatter)
}

// Compare reads phrases by the patterns alone, by the model m alone, and by both
// together, for judging a model on phrases it was not trained on. A finding
// heard beside those a phrase is labelled with counts as wrong, though some of
// them are right and merely unlabelled: precision is a lower bound.
func (l *Lexicon) Compare(code string, m *gist.Model, phrases []Phrase) [3]Hearing {
	fam := *l.families[code]
	fam.index = maps.Clone(fam.index)
	fam.codes, fam.internal, fam.spoken = slices.Clone(fam.codes), slices.Clone(fam.internal), slices.Clone(fam.spoken)
	fam.adopt(m)
	none := fam
	none.gist = nil
	deaf := fam
	deaf.patterns, deaf.combine = patternSet{byAnchor: make([][]int32, len(l.concepts))}, nil
	var out [3]Hearing
	for i, f := range []*family{&none, &deaf, &fam} {
		for _, p := range phrases {
			out[i].Add(l.judge(f, p))
		}
	}
	return out
}

func (l *Lexicon) judge(f *family, p Phrase) (h Hearing) {
	var heard []string
	for _, o := range l.read(p.Text, f).Observations {
		sign := labelAbsent
		if o.Present {
			sign = labelPresent
		}
		heard = append(heard, o.Finding+sign)
	}
	if len(p.Labels) == 0 {
		h.Chatter++
		if len(heard) > 0 {
			h.Fooled++
		}
		return h
	}
	for _, x := range p.Labels {
		if slices.Contains(heard, x) {
			h.Hit++
		} else {
			h.Missed++
		}
	}
	for _, x := range heard {
		if !slices.Contains(p.Labels, x) {
			h.Wrong++
		}
	}
	return h
}
