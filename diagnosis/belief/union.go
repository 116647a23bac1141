package belief

// Probabilities that at least one of several faults is present: those that need
// the same part kind. During the sweep back, main and need hold the weight of
// "none of the swept faults of the group"; finishUnions turns it over.

// unions computes the groups whose last swept fault is the one at the given
// step. y is the backward vector after that step.
func (p *Posterior) unions(a *arena, step int, vectors, y []float64, spare [2][]float64, tmp []float64) {
	m := p.model
	f := &m.family.Faults[m.order[a.steps[step]].fault]
	p.unionOf(m.main[f.Part], &p.main[f.Part], a, step, vectors, y, spare, tmp)
	p.unionOf(m.need[f.Part], &p.need[f.Part], a, step, vectors, y, spare, tmp)
	for _, part := range f.AlsoParts {
		if part != f.Part {
			p.unionOf(m.need[part], &p.need[part], a, step, vectors, y, spare, tmp)
		}
	}
}

func (p *Posterior) unionOf(group []int, out *float64, a *arena, last int, vectors, y []float64, spare [2][]float64, tmp []float64) {
	first, count := last, 0
	for _, i := range group {
		switch at := a.at[i]; {
		case at > last:
			return // a later step's affair
		case at >= 0:
			count++
			first = min(first, at)
		}
	}
	if count < 2 {
		return // the fault's own probability serves
	}
	m, in := p.model, p.in
	x := vectors[a.start[first]:]
	size := 1 << len(in.bits)
	plain := count == last-first+1 // neighbours without causes: absence only scales
	scale := 1.0
	for t := first; t <= last && plain; t++ {
		s := &m.order[a.steps[t]]
		plain = s.live == 0 && !s.causes
		scale *= (1 - in.pi[s.fault]) * in.off[s.fault]
	}
	if plain {
		*out = scale * dot(x[:size], y)
		return
	}
	n := 0
	for t := first; t <= last; t++ {
		s := &m.order[a.steps[t]]
		member := false
		for _, i := range group {
			member = member || i == s.fault
		}
		n = in.forward(spare[t&1], x, tmp, s, member)
		x = spare[t&1]
	}
	*out = dot(x[:n], y)
}

// finishUnions sets main and need from the weights gathered and the faults.
func (p *Posterior) finishUnions(a *arena, all, given float64) {
	finish := func(group []int, noneSwept float64) float64 {
		none, count, most := 1.0, 0, 0.0
		swept := 0
		for _, i := range group {
			count++
			most = max(most, p.Faults[i])
			if a.at[i] >= 0 {
				swept++
			} else {
				none *= 1 - p.Faults[i]*given/all
			}
		}
		switch {
		case count < 2:
			return most
		case swept >= 2:
			none *= noneSwept / all
		case swept == 1:
			for _, i := range group {
				if a.at[i] >= 0 {
					none *= 1 - p.Faults[i]*given/all
				}
			}
		}
		// A union is never below its likeliest member; the difference could be,
		// by rounding.
		return min(max((1-none)*all/given, most), 1)
	}
	for part := range p.main {
		p.main[part] = finish(p.model.main[part], p.main[part])
		p.need[part] = finish(p.model.need[part], p.need[part])
	}
}
