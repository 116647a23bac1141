package belief

// Probabilities that at least one of several faults is present: those that need
// the same part kind. During the sweep back, main and need hold the weight of
// "none of the swept faults of the group"; finishUnions turns it over.

// unions computes the groups whose last swept fault is the one at step t. y is
// the backward vector after that step.
func (p *Posterior) unions(a *arena, t int, vectors, y []float64, spare [2][]float64, tmp []float64) {
	m := p.model
	f := &m.family.Faults[a.steps[t].fault]
	p.unionOf(m.main[f.Part], &p.main[f.Part], a, t, vectors, y, spare, tmp)
	if len(m.need[f.Part]) == len(m.main[f.Part]) {
		p.need[f.Part] = p.main[f.Part]
	} else {
		p.unionOf(m.need[f.Part], &p.need[f.Part], a, t, vectors, y, spare, tmp)
	}
	for _, part := range f.AlsoParts {
		if part != f.Part {
			p.unionOf(m.need[part], &p.need[part], a, t, vectors, y, spare, tmp)
		}
	}
}

// unionOf goes forward once more, from the first member of the group to the
// last, with the members held absent.
func (p *Posterior) unionOf(group []int, out *float64, a *arena, last int, vectors, y []float64, spare [2][]float64, tmp []float64) {
	first, count := last, 0
	var members setOf
	for _, i := range group {
		switch at := a.at[i]; {
		case at > last:
			return // a later step's affair
		case at >= 0:
			count++
			first = min(first, at)
			members = members.with(i)
		}
	}
	if count < 2 {
		return // the fault's own probability serves
	}
	x := vectors[a.start[first]:][:1<<a.steps[first].live]
	for t := first; t <= last; t++ {
		s := &a.steps[t]
		to := spare[t&1]
		n := p.in.forward(to, x, tmp, s, members.has(s.fault))
		x = to[:n]
	}
	*out = dot(x, y)
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
