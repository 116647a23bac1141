package kit

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"

	"pgregory.net/rapid"
)

// Figures marked "enumeration" were worked out over all kits apart from this
// program.

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

// letters reads a kit written "abd".
func letters(s string) (parts []int) {
	for _, c := range s {
		parts = append(parts, int(c-'a'))
	}
	return parts
}

func best(t testing.TB, p Problem) Plan {
	t.Helper()
	plan, err := Best(p)
	if err != nil {
		t.Fatal(err)
	}
	if !plan.Proven {
		t.Error("not proven")
	}
	return plan
}

// independent writes needs of single parts as outcomes: all subsets.
func independent(p []float64, carry []Cost, ret Cost) Problem {
	out := Problem{Carry: carry, Return: ret}
	for s := range 1 << len(p) {
		o := Outcome{P: 1}
		for i, v := range p {
			if s>>i&1 == 1 {
				o.Parts = append(o.Parts, i)
				o.P *= v
			} else {
				o.P *= 1 - v
			}
		}
		out.Outcomes = append(out.Outcomes, o)
	}
	return out
}

// Source: problem of Smith, Chambers & Shlifer 1980, own numbers; enumeration.
func TestBest_IndependentParts(t *testing.T) {
	p, h := []float64{.20, .10, .08, .05, .03, .02}, []Cost{3, 4, 2, 5, 1, 4}
	prefixes := []string{"", "a", "ac", "ace", "abce", "abcde", "abcdef"}
	jcr := []float64{.598193568, .747741960, .812763000, .837900, .931, .980, 1}
	for _, c := range []struct {
		ret  Cost
		cost []float64 // by prefix
		best int
	}{
		{30, []float64{12.054192960, 10.567741200, 10.617110, 10.863, 12.070, 15.600, 19}, 1},
		{60, []float64{24.108385920, 18.135482400, 16.234220, 15.726, 14.140, 16.200, 19}, 4},
		{120, []float64{48.216771840, 33.270964800, 27.468440, 25.452, 18.280, 17.400, 19}, 5},
		{300, []float64{120.541929600, 78.677412, 61.171100, 54.630, 30.700, 21.000, 19}, 6},
	} {
		problem := independent(p, h, c.ret)
		for k, s := range prefixes {
			plan, err := Evaluate(problem, letters(s))
			if err != nil {
				t.Fatal(err)
			}
			near(t, "cost of "+s, float64(plan.Loss), c.cost[k], 1e-6)
			near(t, "complete with "+s, plan.Complete, jcr[k], 1e-9)
		}
		plan := best(t, problem)
		if !slices.Equal(plan.Parts, letters(prefixes[c.best])) {
			t.Errorf("return %v: %v, want %s", c.ret, plan.Parts, prefixes[c.best])
		}
	}
}

// Own numbers. Stopping at the first part that does not pay would return 35.
func TestBest_IncreasingReturns(t *testing.T) {
	problem := independent([]float64{.5, .5, .5}, []Cost{10, 10, 10}, 40)
	for k, want := range []float64{35, 40, 40, 30} {
		plan, _ := Evaluate(problem, letters("abc"[:k]))
		near(t, "cost", float64(plan.Loss), want, 1e-9)
	}
	if plan := best(t, problem); len(plan.Parts) != 3 {
		t.Errorf("carries %v", plan.Parts)
	}
}

func together(ret Cost) Problem {
	return Problem{Carry: []Cost{6, 9, 8, 5}, Return: ret, Outcomes: []Outcome{
		{letters("a"), .20}, {letters("bc"), .40}, {letters("ad"), .15}, {letters("cd"), .10}, {nil, .15},
	}}
}

// Source: maximum closure; own numbers; enumeration and a flow algorithm agree.
func TestBest_PartsNeededTogether(t *testing.T) {
	second := func(ret Cost) Problem {
		return Problem{Carry: []Cost{9, 14, 12, 8, 15}, Return: ret, Outcomes: []Outcome{
			{letters("a"), .28}, {letters("ab"), .22}, {letters("bc"), .18}, {letters("cd"), .14}, {letters("ade"), .10}, {nil, .08},
		}}
	}
	for _, c := range []struct {
		p        Problem
		kit      string
		net      float64 // Return·Complete - Carry
		complete float64
	}{
		{together(25), "", 3.75, .15}, {together(40), "abcd", 12, 1}, {together(50), "abcd", 22, 1},
		{together(60), "abcd", 32, 1}, {together(100), "abcd", 72, 1},
		{second(40), "a", 5.4, .36}, {second(60), "a", 12.6, .36}, {second(80), "abcd", 29, .90}, {second(100), "abcd", 47, .90},
	} {
		plan := best(t, c.p)
		if !slices.Equal(plan.Parts, letters(c.kit)) {
			t.Errorf("return %v: %v, want %s", c.p.Return, plan.Parts, c.kit)
		}
		near(t, "net", float64(c.p.Return-plan.Loss), c.net, 1e-9)
		near(t, "complete", plan.Complete, c.complete, 1e-9)
	}
}

// Source: enumeration.
func TestReach_LeastCarry(t *testing.T) {
	for _, c := range []struct {
		target float64
		kit    string
		carry  Cost
	}{{.35, "a", 6}, {.50, "ad", 11}, {.55, "bc", 17}, {.75, "abc", 23}, {.90, "abcd", 28}, {0, "", 0}} {
		plan, err := Reach(together(1), c.target)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(plan.Parts, letters(c.kit)) || plan.Carry != c.carry || !plan.Proven {
			t.Errorf("target %v: %+v, want %s", c.target, plan, c.kit)
		}
	}
	p := together(1)
	p.Outcomes[0].P = 0
	if _, err := Reach(p, .9); !errors.Is(err, ErrProblem) {
		t.Errorf("out of reach: %v", err)
	}
}

// Source: the same numbers as a job-completion constraint; enumeration. The
// order by ratio alone would carry 5, 10, 10 and 15 at .75, .85, .90 and .95.
func TestReach_IndependentParts(t *testing.T) {
	p := independent([]float64{.20, .10, .08, .05, .03, .02}, []Cost{3, 4, 2, 5, 1, 4}, 1)
	for _, c := range []struct {
		target   float64
		kit      string
		complete float64
	}{{.75, "ae", .770868}, {.80, "ac", .812763}, {.85, "abe", .856520}, {.90, "abc", .903070}, {.95, "abcd", .950600}} {
		plan, err := Reach(p, c.target)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(plan.Parts, letters(c.kit)) {
			t.Errorf("target %v: %v, want %s", c.target, plan.Parts, c.kit)
		}
		near(t, "complete", plan.Complete, c.complete, 1e-9)
	}
}

// Source: enumeration. A return visit so dear that slots alone decide.
func TestBestWithin_Slots(t *testing.T) {
	for slots, want := range []struct {
		kit      string
		complete float64
	}{{"", .15}, {"a", .35}, {"bc", .55}, {"abc", .75}, {"abcd", 1}, {"abcd", 1}} {
		plan, err := BestWithin(together(1000), slots)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(plan.Parts, letters(want.kit)) || !plan.Proven {
			t.Errorf("%d slots: %+v, want %s", slots, plan, want.kit)
		}
		near(t, "complete", plan.Complete, want.complete, 1e-9)
	}
}

// three is a net of three faults and two findings, each fault with its part.
func three(t testing.TB) *belief.Posterior {
	t.Helper()
	f := &knowledge.Family{Code: "net", Findings: []knowledge.Finding{{Code: "f1", Leak: .01}, {Code: "f2", Leak: .02}}}
	carry := []float64{15, 20, 8}
	q := [][]float64{{.80, .60}, {.30, .90}, {0, .40}}
	for i, prior := range []float64{.10, .05, .20} {
		f.Parts = append(f.Parts, knowledge.Part{Kind: fmt.Sprint("p", i), CarryMinutes: carry[i]})
		x := knowledge.Fault{Code: fmt.Sprint("d", i), Prior: prior, Part: i}
		for j, v := range q[i] {
			if v > 0 {
				x.Links = append(x.Links, knowledge.Link{Finding: j, P: v})
			}
		}
		f.Faults = append(f.Faults, x)
	}
	m, err := belief.Compile(f, belief.Options{AllowNone: true})
	if err != nil {
		t.Fatal(err)
	}
	p, err := m.Posterior(evidence.Evidence{Appliance: evidence.Appliance{Family: "net"}, Observations: []evidence.Observation{
		{Finding: "f1", Present: true, Ratio: evidence.Hard, Source: evidence.Said},
		{Finding: "f2", Present: true, Ratio: evidence.Hard, Source: evidence.Said},
	}})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Source: enumeration of the joint of the net. Its marginals multiplied would
// give .569447732 for the chance that the first part alone completes.
func TestOf_FromPosterior(t *testing.T) {
	p := three(t)
	sets, _ := p.PartSets(1-1e-12, 0)
	full := Problem{Carry: []Cost{15, 20, 8}}
	for _, s := range sets {
		full.Outcomes = append(full.Outcomes, Outcome(s))
	}
	for _, c := range []struct {
		ret   Cost
		kit   string
		cost  float64
		other string
		then  float64
	}{
		{10, "", 9.979358817, "c", 17.873056723},
		{40, "a", 32.550832579, "ac", 33.091916254},
		{60, "ac", 38.137874381, "a", 41.326248869},
		{90, "abc", 43, "ac", 45.706811571},
		{120, "abc", 43, "abc", 43},
	} {
		full.Return = c.ret
		plan := best(t, full)
		if !slices.Equal(plan.Parts, letters(c.kit)) {
			t.Errorf("return %v: %v, want %s", c.ret, plan.Parts, c.kit)
		}
		near(t, "cost", float64(plan.Loss), c.cost, 1e-7)
		other, _ := Evaluate(full, letters(c.other))
		near(t, "runner-up", float64(other.Loss), c.then, 1e-7)
		// The problem built from the posterior leaves out only what cannot matter.
		if got := best(t, Of(p, c.ret)); !slices.Equal(got.Parts, plan.Parts) || math.Abs(float64(got.Loss-plan.Loss)) > .003*float64(c.ret) {
			t.Errorf("return %v from the posterior: %+v, want %+v", c.ret, got, plan)
		}
	}
	plan, _ := Evaluate(full, letters("a"))
	near(t, "complete with the first part", plan.Complete, .561229186, 1e-8)
}

// random is a problem of n parts; carry in whole minutes makes ties happen.
func random(r *rand.Rand, n, outcomes int) Problem {
	p := Problem{Carry: make([]Cost, n), Return: Cost(20 + r.IntN(120))}
	for i := range p.Carry {
		p.Carry[i] = Cost(r.IntN(15))
	}
	sum := 0.0
	for range outcomes {
		o := Outcome{P: r.Float64() * r.Float64()}
		for i := range n {
			if r.IntN(n) < 2 {
				o.Parts = append(o.Parts, i)
			}
		}
		sum += o.P
		p.Outcomes = append(p.Outcomes, o)
	}
	for i := range p.Outcomes {
		p.Outcomes[i].P /= sum * (1 + .2*float64(n%2)) // some mass is lost whatever is carried
	}
	return p
}

// The judge: all 2^n kits.
func TestKits_EqualAllKits(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		n := 1 + r.IntN(9)
		p := random(r, n, 1+r.IntN(14))
		within := make([]Cost, n+1) // least loss by slots
		for i := range within {
			within[i] = Cost(math.Inf(1))
		}
		target := r.Float64() * .8
		reach := Cost(math.Inf(1))
		for s := range 1 << n {
			carried := make([]bool, n)
			count := 0
			for i := range carried {
				if s>>i&1 == 1 {
					carried[i] = true
					count++
				}
			}
			plan := p.plan(carried)
			for slots := count; slots <= n; slots++ {
				within[slots] = min(within[slots], plan.Loss)
			}
			if plan.Complete >= target-tiny {
				reach = min(reach, plan.Carry)
			}
		}
		near(t, "best", float64(best(t, p).Loss), float64(within[n]), 1e-9)
		for slots, want := range within {
			plan, err := BestWithin(p, slots)
			if err != nil || !plan.Proven || len(plan.Parts) > slots {
				t.Fatalf("%d slots: %+v, %v", slots, plan, err)
			}
			near(t, fmt.Sprint(slots, " slots"), float64(plan.Loss), float64(want), 1e-6)
		}
		plan, err := Reach(p, target)
		if math.IsInf(float64(reach), 1) {
			if !errors.Is(err, ErrProblem) {
				t.Fatalf("out of reach: %v", err)
			}
			continue
		}
		near(t, "reach", float64(plan.Carry), float64(reach), 1e-9)
	}
}

// Dearer returns never shrink the best kit, and its parts each pay.
func TestBest_GrowsWithReturn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		p := random(r, 1+r.IntN(12), 1+r.IntN(20))
		small, err := Best(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range Items(p, small) {
			if x.Carried && x.Gain <= 0 || !x.Carried && x.Gain > 1e-9 {
				t.Fatalf("%+v in %+v", x, small)
			}
		}
		if small.Saving < -1e-9 {
			t.Fatalf("saves %v", small.Saving)
		}
		p.Return *= 2
		large, err := Best(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range small.Parts {
			if !slices.Contains(large.Parts, part) {
				t.Fatalf("part %d left at home when returns cost more", part)
			}
		}
	})
}

func TestBest_Refuses(t *testing.T) {
	for name, spoil := range map[string]func(*Problem){
		"negative return":      func(p *Problem) { p.Return = -1 },
		"return without bound": func(p *Problem) { p.Return = Cost(math.Inf(1)) },
		"negative carry":       func(p *Problem) { p.Carry[0] = -1 },
		"carry not a number":   func(p *Problem) { p.Carry[0] = Cost(math.NaN()) },
		"unknown part":         func(p *Problem) { p.Outcomes[0].Parts = []int{4} },
		"part twice":           func(p *Problem) { p.Outcomes[0].Parts = []int{1, 1} },
		"negative chance":      func(p *Problem) { p.Outcomes[0].P = -.1 },
		"chances above 1":      func(p *Problem) { p.Outcomes[0].P = .9 },
	} {
		p := together(40)
		spoil(&p)
		if _, err := Best(p); !errors.Is(err, ErrProblem) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := BestWithin(p, 2); !errors.Is(err, ErrProblem) {
			t.Errorf("%s, slots: %v", name, err)
		}
	}
	if _, err := BestWithin(together(40), -1); !errors.Is(err, ErrProblem) {
		t.Errorf("negative slots: %v", err)
	}
	if _, err := Evaluate(together(40), []int{2, 2}); !errors.Is(err, ErrProblem) {
		t.Errorf("part twice: %v", err)
	}
}

func BenchmarkNothing(b *testing.B) {
	for b.Loop() {
	}
}

func BenchmarkBest(b *testing.B) {
	for _, c := range []struct {
		parts, outcomes int
		ret             Cost // at which parts are left for the cut to decide
	}{{12, 40, 100}, {200, 500, 2000}} {
		p := random(rand.New(rand.NewPCG(5, 6)), c.parts, c.outcomes)
		p.Return = c.ret
		if !settle(p, true).open() {
			b.Fatal("nothing is left for the cut")
		}
		b.Run(fmt.Sprintf("parts=%d/outcomes=%d", c.parts, c.outcomes), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Best(p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkBestWithin(b *testing.B) {
	p := random(rand.New(rand.NewPCG(5, 6)), 20, 80)
	p.Return = 400
	for b.Loop() {
		if plan, err := BestWithin(p, 8); err != nil || !plan.Proven {
			b.Fatal(plan, err)
		}
	}
}
