package question

import (
	"slices"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/knowledge"
)

// A family has some fifty questions, and weighing one properly takes a posterior
// and a kit for each of its answers. Most are far from worth it. So all are
// glanced at first, as if exactly one fault were present and every part were
// carried or not on its own merits; the few that look best are weighed properly.

// looked is how many questions are weighed properly. What that loses against
// weighing all is measured in a test.
const looked = 8

// cause is a fault that a finding may come from.
type cause struct {
	fault int
	q     float64
}

// causesOf lists, by finding, the faults linked to it.
func causesOf(f *knowledge.Family) [][]cause {
	out := make([][]cause, len(f.Findings))
	for i := range f.Faults {
		for _, l := range f.Faults[i].Links {
			out[l.Finding] = append(out[l.Finding], cause{i, l.P})
		}
	}
	return out
}

// shortlist returns the questions worth weighing, best first by the glance, from
// those that are open.
func (a *Asker) shortlist(open []int, now *belief.Posterior) []int {
	if len(open) <= a.looked {
		return open
	}
	f := a.model.Family()
	total := 0.0
	for _, p := range now.Faults {
		total += p
	}
	if total == 0 {
		return open[:a.looked]
	}
	prior := make([]float64, len(now.Faults))
	for i, p := range now.Faults {
		prior[i] = p / total
	}
	g := glance{asker: a, prior: prior, joint: make([]float64, len(prior)), sum: make([]float64, len(prior)), parts: make([]float64, len(f.Parts))}
	worth := make(map[int]float64, len(open))
	for _, q := range open {
		worth[q] = g.saves(q)*(1-a.costs.DontKnow) - f.Questions[q].Seconds/60*a.costs.CallMinute
	}
	best := slices.Clone(open)
	slices.SortStableFunc(best, func(x, y int) int {
		switch {
		case worth[x] > worth[y]:
			return -1
		case worth[x] < worth[y]:
			return 1
		}
		return 0
	})
	return best[:a.looked]
}

// glance holds the working memory of one shortlist.
type glance struct {
	asker             *Asker
	prior, joint, sum []float64 // by fault
	parts             []float64 // by part
}

// saves is the expected value of sample information of a question, in minutes,
// under the assumptions of the glance. Never negative but for rounding.
func (g *glance) saves(q int) float64 {
	f := g.asker.model.Family()
	answers := f.Questions[q].Answers
	likelihood := make([][]float64, 0, len(answers))
	clear(g.sum)
	for _, answer := range answers {
		if len(answer.Reports) == 0 {
			continue
		}
		row := make([]float64, len(g.prior))
		for i := range row {
			row[i] = 1
		}
		for _, r := range answer.Reports {
			g.report(row, r)
		}
		for i, v := range row {
			g.sum[i] += v
		}
		likelihood = append(likelihood, row)
	}
	told := 0.0
	for _, row := range likelihood {
		for i, p := range g.prior {
			g.joint[i] = p * row[i] / g.sum[i]
		}
		told += g.loss(g.joint)
	}
	if len(likelihood) == 0 {
		return 0
	}
	return g.loss(g.prior) - told
}

// report multiplies row, by fault, with the likelihood of one report when that
// fault alone is present.
func (g *glance) report(row []float64, r knowledge.Report) {
	leak := g.asker.model.Family().Findings[r.Finding].Leak
	doubt := 1 / r.Ratio
	weigh := func(present float64) float64 {
		if r.Present {
			return present + (1-present)*doubt
		}
		return 1 - present + present*doubt
	}
	usual := weigh(leak)
	for i := range row {
		row[i] *= usual
	}
	for _, c := range g.asker.causes[r.Finding] {
		row[c.fault] *= weigh(1-(1-leak)*(1-c.q)) / usual
	}
}

// loss of deciding best with the given weights: each part is carried, or the
// visit it would have saved is lost; then the search on site.
func (g *glance) loss(weights []float64) float64 {
	f := g.asker.model.Family()
	clear(g.parts)
	total := 0.0
	for i, w := range weights {
		g.parts[f.Faults[i].Part] += w
		total += w
	}
	sum := g.asker.search.Minutes(weights)
	for i, w := range g.parts {
		if f.Parts[i].Kind != knowledge.NoPart {
			sum += min(f.Parts[i].CarryMinutes*total, float64(g.asker.costs.ReturnVisit)*w)
		}
	}
	return sum
}
