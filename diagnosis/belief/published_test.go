package belief

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"onevisit/diagnosis/evidence"
)

// Figures of this file marked "enumeration" were worked out by adding up all
// sets of faults in exact or double arithmetic apart from this program.

func three() ([]float64, []float64, [][]float64) {
	return []float64{.10, .05, .20}, []float64{.01, .02, .05},
		[][]float64{{.80, .60, 0}, {.30, .90, .50}, {0, .40, .70}}
}

// Source: definition of the leaky noisy-OR; enumeration.
func TestPosterior_ThreeFaults(t *testing.T) {
	m := compiled(t, net(three()), Options{AllowNone: true})
	for _, c := range []struct {
		signs          []int
		pe, p1, p2, p3 float64
	}{
		{nil, 1, .1, .05, .2},
		{[]int{1}, .1028620000, .7825727674, .1761777916, .2},
		{[]int{2}, .1906336800, .3438997768, .2400545381, .4953504543},
		{[]int{3}, .2034250000, .1, .1453852771, .7099668182},
		{[]int{1, 2}, .0662752704, .7976506240, .2522979063, .2384029184},
		{[]int{1, -2}, .0365867296, .7552598856, .0382895127, .1304347826},
		{[]int{1, 2, 3}, .0206190795, .6132608305, .4812504300, .5716838398},
		{[]int{1, 2, -3}, .0456561909, .8809240583, .1488992173, .0878878256},
		{[]int{-1, 2, 3}, .0703048311, .0413960996, .2452688024, .8118423039},
		{[]int{-1, -2, -3}, .6658860045, .0088105727, .0018387182, .0430622010},
	} {
		t.Run(fmt.Sprint(c.signs), func(t *testing.T) {
			p := posterior(t, m, seen(c.signs...))
			near(t, "P(e)", math.Exp(p.LogEvidence), c.pe, 1e-9)
			for i, want := range []float64{c.p1, c.p2, c.p3} {
				near(t, fmt.Sprintf("P(d%d)", i+1), p.Faults[i], want, 1e-9)
			}
			if p.Method != Exact || p.Bound != 0 {
				t.Errorf("method %v, bound %v", p.Method, p.Bound)
			}
		})
	}
}

// Source: enumeration. The joint is what the kit is chosen from.
func TestOutcomes_ThreeFaults(t *testing.T) {
	m := compiled(t, net(three()), Options{AllowNone: true})
	sets, kept := posterior(t, m, seen(1, 2, 3)).Outcomes(1-1e-12, 0)
	near(t, "kept", kept, 1, 1e-9)
	want := map[string]float64{
		"[]": .0003317316, "[2]": .0244303729, "[1]": .2538267823, "[1 2]": .1081502828,
		"[0]": .0898653503, "[0 2]": .4041221152, "[0 1]": .0842922960, "[0 1 2]": .0349810689,
	}
	if len(sets) != len(want) {
		t.Fatalf("%d sets", len(sets))
	}
	for _, s := range sets {
		near(t, fmt.Sprint(s.Faults), s.P, want[fmt.Sprint(append([]int{}, s.Faults...))], 1e-9)
	}
	if s := fmt.Sprint(sets[0].Faults); s != "[0 2]" {
		t.Errorf("most probable explanation %s", s)
	}
}

// quickscore is inclusion and exclusion over the seen findings (Heckerman 1989):
// the signed terms, of the evidence and with each fault present.
func quickscore(priors, leaks []float64, q [][]float64, plus, minus []int) (terms [][]float64) {
	for s := range 1 << len(plus) {
		in := append([]int(nil), minus...)
		sign := 1.0
		for b, j := range plus {
			if s>>b&1 == 1 {
				in = append(in, j)
				sign = -sign
			}
		}
		row := make([]float64, 1+len(priors))
		all := sign
		for _, j := range in {
			all *= 1 - leaks[j]
		}
		for k := range row {
			row[k] = all
			for i, p := range priors {
				off := 1.0
				for _, j := range in {
					off *= 1 - q[i][j]
				}
				if k == i+1 {
					row[k] *= p * off
				} else {
					row[k] *= p*off + 1 - p
				}
			}
		}
		terms = append(terms, row)
	}
	return terms
}

// Source: enumeration; the signed sums of Quickscore are a second way to the
// same numbers, kept here as a witness against the sweep.
func TestPosterior_QuickscoreTerms(t *testing.T) {
	priors, leaks, q := three()
	terms := quickscore(priors, leaks, q, []int{0, 1}, []int{2})
	want := [][]float64{ // by set {}, {1}, {2}, {1,2}
		{.7965750000, .0796575000, .0204250000, .0555750000},
		{-.7199395830, -.0156508605, -.0130221630, -.0502283430},
		{-.6968652306, -.0296538396, -.0018290426, -.0300085506},
		{.6658860045, .0058668370, .0012243767, .0286745169},
	}
	sums := []float64{.0456561909, .0402196369, .0067981711, .0040126233}
	got := make([]float64, 4)
	for s := range want {
		for k := range got {
			near(t, fmt.Sprintf("term %d of %d", s, k), terms[s][k], want[s][k], 1e-9)
			got[k] += terms[s][k]
		}
	}
	p := posterior(t, compiled(t, net(priors, leaks, q), Options{AllowNone: true}), seen(1, 2, -3))
	for k, v := range got {
		near(t, "sum", v, sums[k], 1e-9)
		if k > 0 {
			near(t, "sweep against Quickscore", p.Faults[k-1], v/got[0], 1e-12)
		}
	}
}

// Source: explaining away, Pearl 1988; enumeration.
func TestPosterior_ExplainingAway(t *testing.T) {
	for _, c := range []struct{ leak, pf, a, aGivenB, aGivenNotB, both float64 }{
		{0, .1536000000, .5312500000, .1176470588, 1, .0625000000},
		{.05, .1959200000, .4211923234, .1165777993, .6428571429, .0491016742},
	} {
		// A second finding that only b causes, with certainty, makes b known.
		f := net([]float64{.1, .1}, []float64{c.leak, 0}, [][]float64{{.8, 0}, {.8, 1}})
		m := compiled(t, f, Options{AllowNone: true})
		p := posterior(t, m, seen(1))
		near(t, "P(f)", math.Exp(p.LogEvidence), c.pf, 1e-9)
		near(t, "P(a|f)", p.Faults[0], c.a, 1e-9)
		near(t, "P(a|f,b)", posterior(t, m, seen(1, 2)).Faults[0], c.aGivenB, 1e-9)
		near(t, "P(a|f,not b)", posterior(t, m, seen(1, -2)).Faults[0], c.aGivenNotB, 1e-9)
		sets, _ := p.Outcomes(1-1e-12, 0)
		for _, s := range sets {
			if len(s.Faults) == 2 {
				near(t, "P(a,b|f)", s.P, c.both, 1e-9)
			}
		}
	}
}

// Source: enumeration. As priors shrink together, "at least one" turns into
// "exactly one": the single-fault column is the limit, and it ranks differently.
func TestPosterior_SingleFaultLimit(t *testing.T) {
	_, leaks, q := three()
	// The limit keeps the ratio of odds, so the odds must be those of the share.
	f := net([]float64{2e-7 / 7, 1e-7 / 7, 4e-7 / 7}, leaks, q)
	m := compiled(t, f, Options{})
	for _, c := range []struct {
		signs []int
		want  [3]float64
	}{
		{[]int{1}, [3]float64{.8221424910, .1573552025, .0205023065}},
		{[]int{1, 2}, [3]float64{.7687308947, .2182786731, .0129904322}},
		{[]int{1, 2, 3}, [3]float64{.2367934096, .7059856603, .0572209301}},
		{[]int{1, 2, -3}, [3]float64{.8718069286, .1237733913, .0044196801}},
	} {
		p := posterior(t, m, seen(c.signs...))
		for i, want := range c.want {
			near(t, fmt.Sprint(c.signs, i), p.Faults[i], want, 2e-6)
		}
	}
}

// Source: virtual evidence, Pearl 1988, 2.2.2; enumeration. P(say yes) is .9
// with the finding and .2 without: a ratio of 4.5.
func TestPosterior_VirtualEvidence(t *testing.T) {
	m := compiled(t, net(three()), Options{AllowNone: true})
	e := seen(1)
	e.Observations[0].Ratio = .9 / .2
	p := posterior(t, m, e)
	near(t, "P(said)", .9*math.Exp(p.LogEvidence), .2720034000, 1e-9)
	for i, want := range []float64{.2806873002, .0834011634, .2} {
		near(t, "posterior", p.Faults[i], want, 1e-9)
	}
	turns, err := m.Turns(e, 0)
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, x := range turns {
		if x.Finding == 0 && x.Present {
			found = true
			near(t, "P(f1|said)", x.Chance, .3403479515, 1e-9)
			near(t, "P(d1|f1)", x.After, .7825727674, 1e-9)
		}
	}
	if !found {
		t.Error("the finding heard is not among those that would change the answer")
	}
	// Jeffrey's rule with P(f1)=.8 mixes two posteriors and is something else.
	yes, no := posterior(t, m, seen(1)), posterior(t, m, seen(-1))
	for i, want := range []float64{.6304060400, .1480488323, .2} {
		near(t, "Jeffrey", .8*yes.Faults[i]+.2*no.Faults[i], want, 1e-9)
	}
}

// Source: Henrion 1987, leak-inclusive elicitation; the algebra.
func TestLinkFromShare(t *testing.T) {
	for _, c := range []struct{ p, leak, q float64 }{
		{.80, .01, .7979797980}, {.50, .05, .4736842105}, {.10, .10, 0}, {1, .3, 1},
	} {
		q, err := LinkFromShare(c.p, c.leak)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "q", q, c.q, 1e-9)
	}
	for _, c := range [][2]float64{{.05, .10}, {1.1, .1}, {.5, 1}, {.5, -.1}, {math.NaN(), .1}, {.5, math.NaN()}} {
		if _, err := LinkFromShare(c[0], c[1]); !errors.Is(err, ErrParameters) {
			t.Errorf("share %v, leak %v: %v", c[0], c[1], err)
		}
	}
}

// Source: exact fractions, enumeration. Inclusion and exclusion returns a
// negative probability here from 8 findings on; the sweep must not.
func TestPosterior_Cancellation(t *testing.T) {
	for _, c := range []struct {
		m     int
		exact float64
	}{{4, 5.139165e-11}, {8, 7.497688e-19}, {12, 4.823710e-26}, {16, 9.916730e-33}} {
		priors, leaks, q := make([]float64, 5), make([]float64, c.m), make([][]float64, 5)
		var signs, plus []int
		for j := range leaks {
			leaks[j] = 1e-6
			signs, plus = append(signs, j+1), append(plus, j)
		}
		for i := range priors {
			priors[i] = 1e-3
			q[i] = make([]float64, c.m)
			for j := range q[i] {
				q[i][j] = .01
			}
		}
		p := posterior(t, compiled(t, net(priors, leaks, q), Options{AllowNone: true}), seen(signs...))
		near(t, fmt.Sprintf("P(e)/exact at %d", c.m), math.Exp(p.LogEvidence)/c.exact, 1, 1e-6)
		if c.m >= 8 { // the witness that the guard matters: the signed sum is useless
			sum, size := 0.0, 0.0
			for _, row := range quickscore(priors, leaks, q, plus, nil) {
				sum += row[0]
				size += math.Abs(row[0])
			}
			if size*0x1p-53 < 1e-9*c.exact || math.Abs(sum/c.exact-1) < 1e-6 {
				t.Errorf("m=%d: inclusion and exclusion gave %g of %g: not the trap meant", c.m, sum, c.exact)
			}
		}
	}
}

// twelve is a reproducible network of 12 faults and 8 findings.
func twelve() ([]float64, []float64, [][]float64, evidence.Evidence) {
	priors, leaks, q := make([]float64, 12), make([]float64, 8), make([][]float64, 12)
	for j := range leaks {
		leaks[j] = float64(1+(3*j)%4) / 100
	}
	for i := range priors {
		priors[i] = float64(1+(5*i)%9) / 100
		q[i] = make([]float64, 8)
		for j := range q[i] {
			if (i+2*j)%3 == 0 {
				q[i][j] = float64((7*i+11*j+3)%10) / 10
			}
		}
	}
	return priors, leaks, q, seen(1, 2, -3, 4, -5, 6, -7, -8)
}

// Source: enumeration.
func TestPosterior_TwelveFaults(t *testing.T) {
	priors, leaks, q, e := twelve()
	m := compiled(t, net(priors, leaks, q), Options{AllowNone: true})
	p := posterior(t, m, e)
	near(t, "P(e)", math.Exp(p.LogEvidence)/1.221916543065e-04, 1, 1e-11)
	for i, want := range []float64{
		.0058594241, .0327159776, .0062643110, .5414862773, .0147685800, .3151843181,
		.3928036062, .0263350156, .2280940715, .1156757150, .1599393583, .0988887695,
	} {
		near(t, fmt.Sprintf("P(d%d)", i), p.Faults[i], want, 1e-9)
	}
	sets, _ := p.Outcomes(.9999, 0)
	if fmt.Sprint(sets[0].Faults) != "[3]" {
		t.Errorf("most probable explanation %v", sets[0].Faults)
	}
	near(t, "its probability", sets[0].P, .1477358828, 1e-9)
}

// Source: enumeration. Mass of the sets of at most k faults.
func TestOutcomes_Truncation(t *testing.T) {
	priors, leaks, q, e := twelve()
	p := posterior(t, compiled(t, net(priors, leaks, q), Options{AllowNone: true}), e)
	sets, _ := p.Outcomes(1-1e-13, 1<<13)
	for _, c := range []struct {
		k, hypotheses int
		mass, worst   float64
	}{
		{1, 13, .2871748900, .3117838422}, {2, 79, .7966732728, .0868662740},
		{3, 299, .9779193095, .0106454095}, {4, 794, .9988773273, .0006183773},
	} {
		count, mass := 0, 0.0
		marginals := make([]float64, 12)
		for _, s := range sets {
			if len(s.Faults) <= c.k {
				count++
				mass += s.P
				for _, i := range s.Faults {
					marginals[i] += s.P
				}
			}
		}
		// Sets that hold a fault of link 0 to a finding seen only once remain
		// possible through the leaks, so all of them are there.
		if count != c.hypotheses {
			t.Errorf("at most %d faults: %d sets, want %d", c.k, count, c.hypotheses)
		}
		worst := 0.0
		for i := range marginals {
			worst = max(worst, math.Abs(marginals[i]/mass-p.Faults[i]))
		}
		near(t, fmt.Sprintf("mass at %d", c.k), mass, c.mass, 1e-9)
		near(t, fmt.Sprintf("worst marginal at %d", c.k), worst, c.worst, 1e-9)
	}
}
