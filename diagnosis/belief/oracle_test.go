package belief

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"

	"pgregory.net/rapid"
)

// drawNet draws a small network with shared parts, parts changed along, causes
// without circles, variants and wear.
func drawNet(t *rapid.T) *knowledge.Family {
	chance := rapid.Float64Range(0.001, 0.6)
	n, m := rapid.IntRange(1, 7).Draw(t, "faults"), rapid.IntRange(1, 6).Draw(t, "findings")
	priors, leaks, q := make([]float64, n), make([]float64, m), make([][]float64, n)
	for j := range leaks {
		leaks[j] = chance.Draw(t, "leak")
	}
	for i := range priors {
		priors[i] = chance.Draw(t, "prior")
		q[i] = make([]float64, m)
		for j := range q[i] {
			if rapid.Bool().Draw(t, "linked") {
				q[i][j] = rapid.OneOf(rapid.Float64Range(0.01, 0.99), rapid.Just(1.0)).Draw(t, "q")
			}
		}
	}
	f := net(priors, leaks, q)
	f.Variants = []knowledge.Variant{{Code: "a"}, {Code: "b"}}
	for i := range f.Faults {
		x := &f.Faults[i]
		x.Part = rapid.IntRange(0, n-1).Draw(t, "part")
		if rapid.IntRange(0, 3).Draw(t, "also") == 0 {
			x.AlsoParts = []int{rapid.IntRange(0, n-1).Draw(t, "other part")}
		}
		x.Wear = knowledge.Wear(rapid.IntRange(0, 2).Draw(t, "wear"))
		if rapid.Bool().Draw(t, "varies") {
			x.Variants = map[string]float64{"a": rapid.SampledFrom([]float64{0, 0.3, 4}).Draw(t, "factor")}
		}
	}
	for i := range n {
		for j := range n {
			// From either index order, yet never in a circle: by the rank of i*3 mod 7.
			if (i*3)%7 < (j*3)%7 && rapid.IntRange(0, 4).Draw(t, "cause") == 0 {
				f.Causes = append(f.Causes, knowledge.Cause{From: i, To: j, P: rapid.Float64Range(0.01, 0.99).Draw(t, "p")})
			}
		}
	}
	return f
}

func drawEvidence(t *rapid.T, f *knowledge.Family) evidence.Evidence {
	e := evidence.Evidence{Appliance: evidence.Appliance{Family: "net", Variant: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "variant")}}
	if rapid.Bool().Draw(t, "aged") {
		age := rapid.Float64Range(0, 30).Draw(t, "age")
		e.Appliance.AgeYears = &age
	}
	for _, x := range f.Findings {
		if rapid.Bool().Draw(t, "told") {
			e.Observations = append(e.Observations, evidence.Observation{
				Finding: x.Code, Present: rapid.Bool().Draw(t, "present"), Source: evidence.Said,
				Ratio: rapid.SampledFrom([]float64{1, 1.5, 8, 200, evidence.Hard}).Draw(t, "ratio"),
			})
		}
	}
	for _, p := range f.Parts {
		if rapid.IntRange(0, 4).Draw(t, "mentioned") == 0 {
			e.Parts = append(e.Parts, evidence.PartMention{
				PartKind: p.Kind, Kind: evidence.SeenBad, Ratio: rapid.Float64Range(0.05, 20).Draw(t, "ratio"),
			})
		}
	}
	return e
}

func drawOptions(t *rapid.T) Options {
	return Options{AllowNone: rapid.Bool().Draw(t, "allow none")}
}

func TestPosterior_EqualsAllSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawNet(t)
		m, err := Compile(f, drawOptions(t))
		if err != nil {
			t.Fatal(err)
		}
		e := drawEvidence(t, f)
		want := bruteForce(m, e)
		p, err := m.Posterior(e)
		if math.IsNaN(want.evidence) || want.evidence == 0 {
			if !errors.Is(err, ErrImpossible) {
				t.Fatalf("impossible evidence gave %v", err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		compare := func(what string, got, want float64) {
			if !(math.Abs(got-want) <= 1e-9) {
				t.Fatalf("%s = %.15g, want %.15g", what, got, want)
			}
		}
		compare("ln P(e)", p.LogEvidence, math.Log(want.evidence))
		for i := range p.Faults {
			compare(fmt.Sprint("fault ", i), p.Faults[i], want.faults[i])
		}
		for i := range p.main {
			compare(fmt.Sprint("main part ", i), p.main[i], want.main[i])
			compare(fmt.Sprint("needed part ", i), p.need[i], want.need[i])
		}
		sets, kept := p.Outcomes(1-1e-11, 1<<10)
		if kept < 1-1e-9 {
			t.Fatalf("outcomes keep %v", kept)
		}
		for _, s := range sets {
			compare(fmt.Sprint("set ", s.Faults), s.P, want.sets[fmt.Sprint(append([]int{}, s.Faults...))])
		}
		sum := 0.0
		parts, kept := p.PartSets(1-1e-11, 1<<10)
		for _, s := range parts {
			sum += s.P
		}
		compare("part sets", sum, kept)
		compare("part sets", kept, 1)

		var within []int
		inside := map[int]bool{}
		for part := range f.Parts {
			if rapid.Bool().Draw(t, "carried") {
				within, inside[part] = append(within, part), true
			}
		}
		complete := 0.0
		for set := range 1 << len(f.Faults) {
			members, fits := []int{}, true
			for i, x := range f.Faults {
				if set>>i&1 == 1 {
					members = append(members, i)
					for _, part := range append([]int{x.Part}, x.AlsoParts...) {
						fits = fits && inside[part]
					}
				}
			}
			if fits {
				complete += want.sets[fmt.Sprint(members)]
			}
		}
		for _, least := range []float64{1e-3, 1e-12} {
			sum := 0.0
			needs, missing := p.Needs(within, least)
			for _, s := range needs {
				sum += s.P
			}
			if sum > complete+1e-9 || sum+missing < complete-1e-9 {
				t.Fatalf("needs within %v: %v and at most %v more, want %v", within, sum, missing, complete)
			}
		}

		// The bounded method, on the same case: within what it claims.
		b, err := m.condition(p.in, nil, false, approximateBudget)
		if err != nil {
			t.Fatal(err)
		}
		if !(b.Bound <= 1e-6) {
			t.Fatalf("bound %v on a small network", b.Bound)
		}
		for i := range b.Faults {
			if math.Abs(b.Faults[i]-want.faults[i]) > b.Bound+1e-9 {
				t.Fatalf("bounded fault %d = %v, want %v within %v", i, b.Faults[i], want.faults[i], b.Bound)
			}
		}
	})
}

// The order of observations does not matter, and one of ratio 1 says nothing.
func TestPosterior_OrderAndEmptyReports(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawNet(t)
		m, err := Compile(f, drawOptions(t))
		if err != nil {
			t.Fatal(err)
		}
		e := drawEvidence(t, f)
		p, err := m.Posterior(e)
		if err != nil {
			return
		}
		mixed := e
		mixed.Observations = rapid.Permutation(e.Observations).Draw(t, "order")
		if len(f.Findings) > len(e.Observations) {
			told := map[string]bool{}
			for _, o := range e.Observations {
				told[o.Finding] = true
			}
			for _, x := range f.Findings {
				if !told[x.Code] {
					mixed.Observations = append(mixed.Observations, evidence.Observation{Finding: x.Code, Ratio: 1, Source: evidence.Answered})
				}
			}
		}
		o, err := m.Posterior(mixed)
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.Faults {
			if math.Abs(o.Faults[i]-p.Faults[i]) > 1e-12 {
				t.Fatalf("fault %d: %v or %v", i, o.Faults[i], p.Faults[i])
			}
		}
	})
}

func TestExplain_AddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawNet(t)
		m, err := Compile(f, drawOptions(t))
		if err != nil {
			t.Fatal(err)
		}
		e := drawEvidence(t, f)
		p, err := m.Posterior(e)
		if err != nil {
			return
		}
		x, err := m.Explain(e)
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.Faults {
			sum := x.Prior[i]
			for _, r := range x.Reasons {
				sum += r.Shift[i]
			}
			if math.Abs(sum-LogOdds(p.Faults[i])) > 1e-9 {
				t.Fatalf("fault %d: %v, posterior %v", i, sum, LogOdds(p.Faults[i]))
			}
		}
	})
}

// judged is the sweep, called past its limit.
func judged(t *testing.T, m *Model, in *instance) *Posterior {
	t.Helper()
	a := new(arena)
	if !a.route(m, in, 1<<26) {
		t.Fatal("too long even for the judge")
	}
	p, err := m.condition(in, a, true, 0)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Beyond the sweep's reach the bounded method takes over and says how far off
// it may be. The judge is the sweep itself, called past its limit.
func TestPosterior_ManyFindings(t *testing.T) {
	f := dryerLike(40, 17)
	m := compiled(t, f, Options{})
	e := evidence.Evidence{Appliance: evidence.Appliance{Family: "net"}}
	for j := range 17 {
		e.Observations = append(e.Observations, evidence.Observation{
			Finding: f.Findings[j].Code, Present: j%6 == 0, Ratio: 15, Source: evidence.Answered,
		})
	}
	p := posterior(t, m, e)
	if p.Method != Bounded || !(p.Bound > 0 && p.Bound < 0.05) {
		t.Fatalf("method %v, bound %v", p.Method, p.Bound)
	}
	exact := judged(t, m, p.in)
	for i := range p.Faults {
		near(t, f.Faults[i].Code, p.Faults[i], exact.Faults[i], p.Bound)
	}
	for i := range p.main {
		near(t, f.Parts[i].Kind, p.main[i], exact.main[i], p.Bound)
	}
	t.Logf("bound %.2g", p.Bound)
}

// The estimate, on cases too long for its exact way: how far off, and that it
// never invents certainty. The judge is the exact posterior.
func TestEstimate_AgainstExact(t *testing.T) {
	f := dryerLike(40, 26)
	m := compiled(t, f, Options{})
	folded, worst, mean := 0, 0.0, 0.0
	for fault := 0; fault < 40; fault += 2 {
		// What one fault would show, and the rest of the findings denied.
		e := evidence.Evidence{Appliance: evidence.Appliance{Family: "net"}}
		shows := map[int]bool{}
		for _, l := range f.Faults[fault].Links {
			shows[l.Finding] = l.P > .5
		}
		for j, x := range f.Findings {
			if on, linked := shows[j]; linked || j%3 != 0 {
				e.Observations = append(e.Observations, evidence.Observation{Finding: x.Code, Present: on, Ratio: 12, Source: evidence.Answered})
			}
		}
		p, err := m.Estimate(e)
		if err != nil {
			t.Fatal(err)
		}
		if p.Method != Estimated {
			continue
		}
		in, err := m.instantiate(e, false)
		if err != nil {
			t.Fatal(err)
		}
		exact := judged(t, m, in)
		folded++
		for i := range p.Faults {
			off := math.Abs(p.Faults[i] - exact.Faults[i])
			worst = max(worst, off)
			mean += off / float64(len(p.Faults))
		}
	}
	if folded < 15 {
		t.Fatalf("only %d cases were estimated", folded)
	}
	mean /= float64(folded)
	t.Logf("%d cases, mean error of a probability %.2g, worst %.2g", folded, mean, worst)
	if mean > 5e-4 || worst > .01 {
		t.Errorf("mean error %.2g, worst %.2g", mean, worst)
	}
}

// The chance that no part outside a set is needed, against all sets of faults.
func TestWithin_EqualsAllSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawNet(t)
		m, err := Compile(f, Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := m.Posterior(drawEvidence(t, f))
		if errors.Is(err, ErrImpossible) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		var parts []int
		for i := range f.Parts {
			if rapid.Bool().Draw(t, "carried") {
				parts = append(parts, i)
			}
		}
		want := 0.0
		sets, kept := p.Outcomes(1-1e-13, 1<<20)
		for _, s := range sets {
			inside := true
			for _, fault := range s.Faults {
				for _, part := range append([]int{f.Faults[fault].Part}, f.Faults[fault].AlsoParts...) {
					inside = inside && (f.Parts[part].Kind == knowledge.NoPart || slices.Contains(parts, part))
				}
			}
			if inside {
				want += s.P
			}
		}
		if got := p.Within(parts); math.Abs(got-want) > 1e-9+(1-kept) {
			t.Fatalf("within %v: %v, want %v", parts, got, want)
		}
	})
}
