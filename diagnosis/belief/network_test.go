package belief

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
)

// net builds a family from bare numbers. q is by fault, then finding. Each
// fault has its own part kind.
func net(priors, leaks []float64, q [][]float64) *knowledge.Family {
	f := &knowledge.Family{Code: "net"}
	for j, l := range leaks {
		f.Findings = append(f.Findings, knowledge.Finding{Code: fmt.Sprintf("f%d", j+1), Leak: l})
	}
	for i, p := range priors {
		f.Parts = append(f.Parts, knowledge.Part{Kind: fmt.Sprintf("p%d", i+1)})
		x := knowledge.Fault{Code: fmt.Sprintf("d%d", i+1), Prior: p, Part: i}
		for j, v := range q[i] {
			if v > 0 {
				x.Links = append(x.Links, knowledge.Link{Finding: j, P: v})
			}
		}
		f.Faults = append(f.Faults, x)
	}
	return f
}

// seen writes evidence as "+1 -2": finding 1 seen, finding 2 seen absent.
func seen(signs ...int) evidence.Evidence {
	e := evidence.Evidence{Appliance: evidence.Appliance{Family: "net"}}
	for _, s := range signs {
		e.Observations = append(e.Observations, evidence.Observation{
			Finding: fmt.Sprintf("f%d", max(s, -s)), Present: s > 0, Ratio: evidence.Hard, Source: evidence.Measured,
		})
	}
	return e
}

func compiled(t testing.TB, f *knowledge.Family, o Options) *Model {
	t.Helper()
	m, err := Compile(f, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func posterior(t testing.TB, m *Model, e evidence.Evidence) *Posterior {
	t.Helper()
	p, err := m.Posterior(e)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

// truth is the slow twin: it adds up all 2^n sets of faults from the definition.
type truth struct {
	faults, main, need []float64
	evidence           float64 // P(e), or P(e | some fault)
	sets               map[string]float64
}

func bruteForce(m *Model, e evidence.Evidence) truth {
	f := m.family
	pi, err := m.priors(e.Appliance, e.Parts)
	if err != nil {
		panic(err)
	}
	out := truth{faults: make([]float64, len(pi)), main: make([]float64, len(f.Parts)), need: make([]float64, len(f.Parts)), sets: map[string]float64{}}
	mass, prior := 0.0, 0.0
	observed := e.Merged()
	for set := range 1 << len(pi) {
		if set == 0 && !m.opts.AllowNone {
			continue
		}
		w := 1.0
		for i, p := range pi {
			absent := 1 - p
			for _, c := range f.Causes {
				if c.To == i && set>>c.From&1 == 1 {
					absent *= 1 - c.P
				}
			}
			if set>>i&1 == 1 {
				w *= 1 - absent
			} else {
				w *= absent
			}
		}
		prior += w
		for _, o := range observed {
			j := m.findings[o.Finding]
			absent := 1 - f.Findings[j].Leak
			for i, x := range f.Faults {
				for _, l := range x.Links {
					if l.Finding == j && set>>i&1 == 1 {
						absent *= 1 - l.P
					}
				}
			}
			if o.Present {
				w *= 1 - absent + absent/o.Ratio
			} else {
				w *= absent + (1-absent)/o.Ratio
			}
		}
		mass += w
		var members []int
		main, need := map[int]bool{}, map[int]bool{}
		for i, x := range f.Faults {
			if set>>i&1 == 1 {
				out.faults[i] += w
				members = append(members, i)
				main[x.Part], need[x.Part] = true, true
				for _, a := range x.AlsoParts {
					need[a] = true
				}
			}
		}
		for p := range main {
			out.main[p] += w
		}
		for p := range need {
			out.need[p] += w
		}
		out.sets[fmt.Sprint(members)] = w
	}
	for _, xs := range [][]float64{out.faults, out.main, out.need} {
		for i := range xs {
			xs[i] /= mass
		}
	}
	for k := range out.sets {
		out.sets[k] /= mass
	}
	out.evidence = mass / prior
	return out
}

// dryerLike is a family of the size of the real ones, reproducible: n faults,
// m findings, two to six links a fault, a few causes and shared parts.
func dryerLike(n, m int) *knowledge.Family {
	r := rand.New(rand.NewPCG(7, 11))
	priors, leaks, q := make([]float64, n), make([]float64, m), make([][]float64, n)
	for j := range leaks {
		leaks[j] = 0.005 + 0.03*r.Float64()
	}
	for i := range priors {
		priors[i] = 0.001 + 0.01*r.Float64()
		q[i] = make([]float64, m)
		for range 2 + r.IntN(5) {
			q[i][r.IntN(m)] = 0.2 + 0.75*r.Float64()
		}
	}
	f := net(priors, leaks, q)
	for i := range f.Faults {
		f.Faults[i].Part = i * 3 / 5
	}
	f.Causes = []knowledge.Cause{{From: 3, To: 9, P: 0.4}, {From: 9, To: 20 % n, P: 0.3}, {From: 12 % n, To: 13 % n, P: 0.5}}
	return f
}
