package question

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/kit"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/procedure"

	"pgregory.net/rapid"
)

// appliance is an invented family of n faults, each with its part and check, m
// findings and q questions of two or three answers.
func appliance(r *rand.Rand, n, m, q int) *knowledge.Family {
	f := &knowledge.Family{Code: "machine", Access: []knowledge.AccessGroup{{Code: "outside", Parent: -1}, {Code: "panel", Minutes: 10, Parent: 0}}}
	for j := range m {
		f.Findings = append(f.Findings, knowledge.Finding{Code: fmt.Sprint("f", j), Leak: .01 + .03*r.Float64()})
	}
	for i := range n {
		f.Parts = append(f.Parts, knowledge.Part{Kind: fmt.Sprint("p", i), CarryMinutes: 1 + 8*r.Float64()})
		x := knowledge.Fault{Code: fmt.Sprint("d", i), Part: i, Prior: (.2 + r.Float64()) * .3 / float64(n), Minutes: 20, Access: i % 2}
		for j := range m {
			if r.IntN(m) < 3 {
				x.Links = append(x.Links, knowledge.Link{Finding: j, P: .3 + .65*r.Float64()})
			}
		}
		f.Faults = append(f.Faults, x)
		f.Checks = append(f.Checks, knowledge.Check{Code: fmt.Sprint("c", i), Faults: []int{i}, Minutes: 3 + 10*r.Float64(), Access: i % 2,
			Hazard: knowledge.HazardClass(i % 2), Detects: .9})
	}
	for k := range q {
		x := knowledge.Question{Code: fmt.Sprint("q", k), Seconds: 15}
		a, b := k%m, (k+3)%m
		yes := knowledge.Answer{Code: "yes", Reports: []knowledge.Report{{Finding: a, Present: true, Ratio: 12}}}
		no := knowledge.Answer{Code: "no", Reports: []knowledge.Report{{Finding: a, Ratio: 12}}}
		x.Answers = []knowledge.Answer{yes, no, {Code: "unknown"}}
		if k%2 == 1 && a != b {
			other := knowledge.Answer{Code: "other", Reports: []knowledge.Report{{Finding: b, Present: true, Ratio: 9}, {Finding: a, Ratio: 5}}}
			x.Answers = append(x.Answers, other)
		}
		f.Questions = append(f.Questions, x)
	}
	return f
}

func asker(t interface{ Fatal(...any) }, f *knowledge.Family, c Costs) *Asker {
	m, err := belief.Compile(f, belief.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, err := New(m, c)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func next(t interface{ Fatal(...any) }, a *Asker, e evidence.Evidence, asked ...string) Next {
	n, err := a.Next(e, asked)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func call(findings ...string) evidence.Evidence {
	e := evidence.Evidence{Appliance: evidence.Appliance{Family: "machine"}}
	for _, f := range findings {
		e.Observations = append(e.Observations, evidence.Observation{Finding: f, Present: true, Ratio: 5, Source: evidence.Said})
	}
	return e
}

// What a yes-or-no question of equal ratios saves is the expected value of
// sample information, worked out by Value over all sets of faults. The
// tolerances, in minutes of some fifty, are for sets of faults less likely than
// one in a thousand, which are left out of the kit.
func TestNext_EqualsValueOfInformation(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 1))
		f := appliance(r, 5, 4, 4)
		for i := range f.Questions {
			f.Questions[i].Answers = f.Questions[i].Answers[:2]
		}
		costs := DefaultCosts()
		a := asker(t, f, costs)
		e := call("f0")
		p, err := a.model.Posterior(e)
		if err != nil {
			t.Fatal(err)
		}
		sets, _ := p.Outcomes(1-1e-12, 0)
		prior, total := make([]float64, len(sets)), 0.0
		for i, s := range sets {
			prior[i] = s.P
			total += s.P
		}
		for i := range prior {
			prior[i] /= total
		}
		loss := func(w []float64) float64 {
			sum := 0.0
			faults := make([]float64, len(f.Faults))
			k := kit.Problem{Return: costs.ReturnVisit}
			for _, x := range f.Parts {
				k.Carry = append(k.Carry, kit.Cost(x.CarryMinutes))
			}
			for _, v := range w {
				sum += v
			}
			for i, v := range w {
				k.Outcomes = append(k.Outcomes, kit.Outcome{Parts: sets[i].Faults, P: v / sum}) // part i is fault i's
				for _, fault := range sets[i].Faults {
					faults[fault] += v
				}
			}
			plan, err := kit.Best(k)
			if err != nil {
				t.Fatal(err)
			}
			return float64(plan.Loss)*sum + a.search.Minutes(faults)
		}
		n := next(t, a, e)
		near(t, fmt.Sprint("before, seed ", seed), float64(n.Before), loss(prior), 1)
		for _, c := range n.Ranked {
			reports := f.Questions[c.Question].Answers[0].Reports
			lambda, finding := reports[0].Ratio, reports[0].Finding
			likelihood := [][]float64{make([]float64, len(sets)), make([]float64, len(sets))}
			for i, s := range sets {
				off := 1 - f.Findings[finding].Leak
				for _, fault := range s.Faults {
					for _, l := range f.Faults[fault].Links {
						if l.Finding == finding {
							off *= 1 - l.P
						}
					}
				}
				// f0 is spoken of already, with ratio 5: given that, its chance.
				on := 1 - off
				if finding == 0 {
					on = on / (on + off/5)
				}
				// yes: chance lambda/(1+lambda) if so, 1/(1+lambda) if not.
				y := (lambda*on + 1 - on) / (1 + lambda)
				likelihood[0][i], likelihood[1][i] = y, 1-y
			}
			want := value(t, prior, likelihood, loss)
			near(t, fmt.Sprintf("saved by %d, seed %d", c.Question, seed), float64(c.Saves), (1-costs.DontKnow)*want.Saves, .3)
			for k, r := range c.Replies {
				near(t, "P(answer)", r.P, (1-costs.DontKnow)*want.Answers[k], 1e-6)
			}
		}
	}
}

// Never negative, however the answers report; ranked by what is left after the
// time of asking; the asked one is the first.
func TestNext_Properties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		f := appliance(r, 3+r.IntN(10), 4+r.IntN(6), 8)
		a := asker(t, f, DefaultCosts())
		e := call()
		for j := range f.Findings {
			if r.IntN(3) == 0 {
				e.Observations = append(e.Observations, evidence.Observation{Finding: f.Findings[j].Code, Present: r.IntN(2) == 0, Ratio: 1 + 20*r.Float64(), Source: evidence.Said})
			}
		}
		n := next(t, a, e)
		for k, c := range n.Ranked {
			if c.Saves < 0 || c.Net != c.Saves-c.Asking || k > 0 && c.Net > n.Ranked[k-1].Net {
				t.Fatalf("rank %d: %+v", k, c)
			}
			sum := 0.0
			for _, reply := range c.Replies {
				sum += reply.P
			}
			if len(c.Replies) > 0 && math.Abs(sum-(1-a.costs.DontKnow)) > 1e-9 {
				t.Fatalf("answers sum to %v", sum)
			}
		}
		if n.Asked && n.Choice.Question != n.Ranked[0].Question {
			t.Fatal("another than the first is asked")
		}
	})
}

func TestNext_WhatIsNotAsked(t *testing.T) {
	f := appliance(rand.New(rand.NewPCG(9, 9)), 12, 8, 8)
	f.Variants = []knowledge.Variant{{Code: "a", Share: .5}, {Code: "b", Share: .5}}
	f.Questions[2].Variants = []string{"b"}
	a := asker(t, f, DefaultCosts())
	codes := func(n Next) (s []string) {
		for _, c := range n.Ranked {
			s = append(s, f.Questions[c.Question].Code)
		}
		return s
	}
	told := func(source evidence.Source, ratio float64) evidence.Evidence {
		e := call()
		e.Appliance.Variant = "b"
		e.Observations = []evidence.Observation{{Finding: "f4", Present: true, Ratio: ratio, Source: source}}
		return e
	}
	for _, c := range []struct {
		name   string
		e      evidence.Evidence
		asked  []string
		absent string // question that must not be ranked
		there  bool
	}{
		{"faintly said", told(evidence.Said, 2), nil, "q4", true},
		{"plainly said", told(evidence.Said, 20), nil, "q4", false},
		{"answered", told(evidence.Answered, 2), nil, "q4", false},
		{"measured", told(evidence.Measured, evidence.Hard), nil, "q4", false},
		{"put already", call(), []string{"q5"}, "q5", false},
		{"of this variant", told(evidence.Said, 2), nil, "q2", true},
		{"variant unknown", call(), nil, "q2", false},
	} {
		if got := slices.Contains(codes(next(t, a, c.e, c.asked...)), c.absent); got != c.there {
			t.Errorf("%s: %s ranked is %v", c.name, c.absent, got)
		}
	}
	other := told(evidence.Said, 2)
	other.Appliance.Variant = "a"
	if slices.Contains(codes(next(t, a, other)), "q2") {
		t.Error("a question for another variant")
	}
	all := []string{"q0", "q1", "q2", "q3", "q4", "q5", "q6", "q7"}
	if n := next(t, a, call(), all...); n.Asked || n.Reason != NoneLeft || len(n.Ranked) != 0 {
		t.Errorf("with all put: %+v", n)
	}
}

// A caller who said nothing useful is asked the best question even when time is
// so dear that none pays; one who said something is not.
func TestNext_OpeningAndStopping(t *testing.T) {
	f := appliance(rand.New(rand.NewPCG(4, 4)), 12, 8, 8)
	dear := DefaultCosts()
	dear.CallMinute = 1e4
	a := asker(t, f, dear)
	n := next(t, a, call())
	if !n.Asked || n.Reason != Opening {
		t.Errorf("opening: %+v", n)
	}
	if n = next(t, a, call("f1")); n.Asked || n.Reason != NonePays || len(n.Ranked) == 0 {
		t.Errorf("stopping: asked %v, reason %v", n.Asked, n.Reason)
	}
	dear.CallMinute = 0
	if n = next(t, asker(t, f, dear), call("f1")); !n.Asked || n.Reason != Pays {
		t.Errorf("free: asked %v, reason %v", n.Asked, n.Reason)
	}
}

// An answer heard becomes evidence that leads where the reply said.
func TestReports_LeadWhereTheReplySaid(t *testing.T) {
	f := appliance(rand.New(rand.NewPCG(6, 6)), 12, 8, 8)
	a := asker(t, f, DefaultCosts())
	n := next(t, a, call())
	for _, c := range n.Ranked {
		for _, r := range c.Replies {
			e := call()
			e.Observations = Reports(f, c.Question, r.Answer)
			p, err := a.model.Posterior(e)
			if err != nil {
				t.Fatal(err)
			}
			if p.Top() != r.Top || math.Abs(p.Parts()[0].Broken-r.TopChance) > 1e-12 {
				t.Errorf("reply %+v, posterior %d with %v", r, p.Top(), p.Parts()[0].Broken)
			}
		}
	}
}

func TestNew_Refuses(t *testing.T) {
	for name, spoil := range map[string]func(*knowledge.Family, *Costs){
		"return":    func(_ *knowledge.Family, c *Costs) { c.ReturnVisit = 0 },
		"call":      func(_ *knowledge.Family, c *Costs) { c.CallMinute = math.NaN() },
		"dont know": func(_ *knowledge.Family, c *Costs) { c.DontKnow = 1 },
		"known":     func(_ *knowledge.Family, c *Costs) { c.KnownRatio = 1 },
		"seconds":   func(f *knowledge.Family, _ *Costs) { f.Questions[0].Seconds = -1 },
		"finding":   func(f *knowledge.Family, _ *Costs) { f.Questions[0].Answers[0].Reports[0].Finding = 99 },
		"ratio":     func(f *knowledge.Family, _ *Costs) { f.Questions[0].Answers[0].Reports[0].Ratio = .5 },
		"check":     func(f *knowledge.Family, _ *Costs) { f.Checks[0].Faults = []int{99} },
	} {
		f, c := appliance(rand.New(rand.NewPCG(1, 1)), 5, 5, 3), DefaultCosts()
		m, err := belief.Compile(f, belief.Options{})
		if err != nil {
			t.Fatal(err)
		}
		spoil(f, &c)
		if _, err := New(m, c); !errors.Is(err, ErrProblem) && !errors.Is(err, procedure.ErrProblem) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, bad := range []string{"return_visit_minutes: -1", "no_such_key: 1", "{"} {
		if _, err := ParseCosts([]byte(bad)); !errors.Is(err, ErrProblem) {
			t.Errorf("%s: %v", bad, err)
		}
	}
	if _, err := ParseCosts([]byte(strings.Replace(string(embedded), "dont_know: 0.15", "dont_know: 1", 1))); !errors.Is(err, ErrProblem) {
		t.Errorf("dont_know 1: %v", err)
	}
}

func BenchmarkNothing(b *testing.B) {
	for b.Loop() {
	}
}

// BenchmarkNext: 40 faults, 30 findings, 25 questions of two or three answers
// that tell something; nothing said, three and six findings heard.
func BenchmarkNext(b *testing.B) {
	f := appliance(rand.New(rand.NewPCG(7, 7)), 40, 30, 25)
	a := asker(b, f, DefaultCosts())
	for _, heard := range []int{0, 3, 6} {
		e := call()
		for k, l := range f.Faults[5].Links {
			if k < heard {
				e.Observations = append(e.Observations, evidence.Observation{Finding: f.Findings[l.Finding].Code, Present: true, Ratio: 20, Source: evidence.Said})
			}
		}
		for j := 0; len(e.Observations) < heard; j++ {
			if code := f.Findings[j].Code; !slices.ContainsFunc(e.Observations, func(o evidence.Observation) bool { return o.Finding == code }) {
				e.Observations = append(e.Observations, evidence.Observation{Finding: code, Ratio: 20, Source: evidence.Said})
			}
		}
		b.Run(fmt.Sprintf("heard=%d", heard), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := a.Next(e, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
