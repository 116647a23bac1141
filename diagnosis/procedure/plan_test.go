package procedure

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"

	"pgregory.net/rapid"
)

const secret = "open the gas train" // must not reach somebody without the licence

// machine is an invented appliance: outside, a panel and a drum behind it.
func machine() *knowledge.Family {
	f := &knowledge.Family{
		Code:     "machine",
		Findings: []knowledge.Finding{{Code: "dead", Leak: .02}},
		Access:   []knowledge.AccessGroup{{Code: "outside", Parent: -1}, {Code: "panel", Minutes: 10, Parent: 0}, {Code: "drum", Minutes: 20, Parent: 1}},
	}
	add := func(code string, prior float64, licence string, access int) int {
		f.Parts = append(f.Parts, knowledge.Part{Kind: code, Licence: licence})
		f.Faults = append(f.Faults, knowledge.Fault{
			Code: code, Prior: prior, Part: len(f.Parts) - 1, Access: access, Minutes: 30, Skills: []string{"electrical"},
			Links: []knowledge.Link{{Finding: 0, P: .7}},
		})
		return len(f.Faults) - 1
	}
	supply, capacitor, motor, bearing := add("supply", .02, "", 0), add("capacitor", .05, "", 1), add("motor", .02, "", 1), add("bearing", .02, "", 2)
	board, valve := add("board", .02, "", 1), add("valve", .03, "gas", 1)
	check := func(code string, minutes float64, access int, h knowledge.HazardClass, tool string, faults ...int) {
		f.Checks = append(f.Checks, knowledge.Check{
			Code: code, Minutes: minutes, Access: access, Hazard: h, Faults: faults, Detects: .9, FalseAlarm: .02,
			Instruction: "do " + code, Expect: "good", Fail: "bad", Cautions: []string{"care with " + code}, Tools: []string{tool},
		})
	}
	check("socket", 3, 0, knowledge.Energised, "tester", supply)
	check("look", 5, 0, knowledge.Outside, "eyes", supply)
	check("capacitor", 5, 1, knowledge.Isolated, "meter", capacitor)
	check("windings", 6, 1, knowledge.Isolated, "meter", motor)
	check("bearing", 4, 2, knowledge.Isolated, "eyes", bearing)
	check("board", 8, 1, knowledge.Energised, "tester", board, motor)
	check("valve", 6, 1, knowledge.Licensed, "meter", valve)
	f.Checks[6].Instruction = secret
	return f
}

func believed(t testing.TB, f *knowledge.Family) *belief.Posterior {
	t.Helper()
	m, err := belief.Compile(f, belief.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := m.Posterior(evidence.Evidence{
		Appliance:    evidence.Appliance{Family: f.Code},
		Observations: []evidence.Observation{{Finding: "dead", Present: true, Ratio: 20, Source: evidence.Said}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func codes(f *knowledge.Family, steps []Step) (s []string) {
	for _, x := range steps {
		s = append(s, f.Checks[x.Check].Code)
	}
	return s
}

func TestPlan_ForWhom(t *testing.T) {
	f := machine()
	p := believed(t, f)
	for _, c := range []struct {
		name string
		who  Person
		want string
		left map[string]Reason
	}{
		{"nobody's skill", Person{}, "look", map[string]Reason{
			"socket": NotSkilled, "capacitor": NotSkilled, "windings": NotSkilled, "bearing": NotSkilled, "board": NotSkilled, "valve": NotLicensed}},
		{"gas alone opens nothing", Person{Skills: []string{"gas"}}, "look", map[string]Reason{
			"socket": NotSkilled, "capacitor": NotSkilled, "windings": NotSkilled, "bearing": NotSkilled, "board": NotSkilled, "valve": NotSkilled}},
		{"electrician", Person{Skills: []string{"electrical"}}, "look socket capacitor windings bearing board", map[string]Reason{"valve": NotLicensed}},
		{"with licence", Person{Skills: []string{"electrical", "gas"}}, "capacitor valve look socket windings bearing board", map[string]Reason{}},
		{"meter forgotten", Person{Skills: []string{"electrical"}, Tools: []string{"eyes", "tester"}}, "look socket bearing board", map[string]Reason{
			"capacitor": NoTool, "windings": NoTool, "valve": NotLicensed}},
	} {
		t.Run(c.name, func(t *testing.T) {
			plan, err := Plan(p, c.who, nil)
			if err != nil {
				t.Fatal(err)
			}
			got := codes(f, plan.Steps)
			sorted := slices.Sorted(slices.Values(got))
			if want := slices.Sorted(slices.Values(strings.Fields(c.want))); !slices.Equal(sorted, want) {
				t.Errorf("steps %v, want %s in some order", got, c.want)
			}
			if !plan.Proven {
				t.Error("not proven")
			}
			if len(plan.Left) != len(c.left) {
				t.Errorf("left %+v", plan.Left)
			}
			for _, l := range plan.Left {
				code := f.Checks[l.Check].Code
				if l.Reason != c.left[code] {
					t.Errorf("%s left for %v, want %v", code, l.Reason, c.left[code])
				}
				if (l.Reason == NotLicensed || l.Reason == NotSkilled) && l.Say == "" {
					t.Errorf("%s: nothing is said", code)
				}
			}
			if !slices.Contains(c.who.Skills, "gas") && strings.Contains(fmt.Sprintf("%+v", plan), secret) {
				t.Error("the licensed instruction is out")
			}
			safe(t, f, plan)
		})
	}
}

// safe checks the safety sequence of a plan, from its output alone.
func safe(t interface{ Errorf(string, ...any) }, f *knowledge.Family, plan *Procedure) {
	has := func(s Step, code string) bool {
		return slices.ContainsFunc(s.Prepare, func(p Precaution) bool { return p.Code == code })
	}
	dead, liveInside := false, false
	open := map[int]bool{}
	for k, s := range plan.Steps {
		check := &f.Checks[s.Check]
		for _, g := range s.Opens {
			if at := f.Access[g].Parent; at >= 0 && f.Access[at].Minutes > 0 && !open[at] {
				t.Errorf("step %d opens %s before %s", k, f.Access[g].Code, f.Access[at].Code)
			}
			open[g] = true
		}
		dead = dead || has(s, "prove_dead") && has(s, "discharge")
		if (len(open) > 0 || check.Hazard == knowledge.Isolated || check.Hazard == knowledge.Licensed) && !dead {
			t.Errorf("step %d (%s) before isolation", k, check.Code)
		}
		inside := opened(f, check.Access)
		if inside {
			for g := check.Access; g >= 0; g = f.Access[g].Parent {
				if f.Access[g].Minutes > 0 && !open[g] {
					t.Errorf("step %d (%s) behind %s, which is closed", k, check.Code, f.Access[g].Code)
				}
			}
		}
		if check.Hazard == knowledge.Energised {
			if !has(s, "live_last") {
				t.Errorf("step %d (%s) live without a word", k, check.Code)
			}
			liveInside = liveInside || inside
		} else if liveInside && (check.Hazard == knowledge.Isolated || check.Hazard == knowledge.Licensed) {
			t.Errorf("step %d (%s): dead work after live work", k, check.Code)
		}
		if len(open) > 0 && !inside && (check.Hazard == knowledge.Outside || check.Hazard == knowledge.Energised) && !has(s, "close_first") {
			t.Errorf("step %d (%s) from outside with panels open", k, check.Code)
		}
	}
}

// Whatever the machine, the plan is safe and its figures agree.
func TestPlan_AlwaysSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		f := machine()
		for range r.IntN(14) {
			c := f.Checks[r.IntN(len(f.Checks))]
			c.Code += "x"
			c.Access = r.IntN(3)
			c.Hazard = knowledge.HazardClass(r.IntN(4))
			c.Minutes = float64(1 + r.IntN(20))
			c.Faults = []int{r.IntN(len(f.Faults))}
			if o := r.IntN(len(f.Faults)); o != c.Faults[0] {
				c.Faults = append(c.Faults, o)
			}
			f.Checks = append(f.Checks, c)
		}
		m, err := belief.Compile(f, belief.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := m.Posterior(evidence.Evidence{Appliance: evidence.Appliance{Family: "machine"}})
		if err != nil {
			t.Fatal(err)
		}
		plan, err := Plan(p, Person{Skills: []string{"electrical", "gas"}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		safe(t, f, plan)
		reached, found := 1.0, 0.0
		for k, s := range plan.Steps {
			if s.Reached > reached+1e-9 {
				t.Fatalf("step %d is reached more often than the one before", k)
			}
			reached = s.Reached
			found += s.Found
		}
		if found > 1+1e-9 || plan.Found < found-1e-6 || plan.Found > found+1e-6 {
			t.Fatalf("found %v, steps find %v", plan.Found, found)
		}
	})
}

// Licensed work for which nobody knows the licence is nobody's.
func TestPlan_UnknownLicence(t *testing.T) {
	f := machine()
	f.Parts[5].Licence, f.Faults[5].Skills = "", nil
	plan, err := Plan(believed(t, f), Person{Skills: []string{"electrical", "gas", "everything"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if slices.Contains(codes(f, plan.Steps), "valve") || strings.Contains(fmt.Sprintf("%+v", plan), secret) {
		t.Error("licensed work given out")
	}
}

// A check about nothing but licensed parts asks for the licence whatever class
// its author gave it.
func TestPlan_LicensedPartBehindPlainCheck(t *testing.T) {
	f := machine()
	f.Checks[6].Hazard = knowledge.Isolated
	plan, err := Plan(believed(t, f), Person{Skills: []string{"electrical"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if slices.Contains(codes(f, plan.Steps), "valve") {
		t.Error("licensed part given out")
	}
}

func TestParseRules_Refuses(t *testing.T) {
	text := string(embedded)
	for old, bad := range map[string]string{
		"skill: electrical # who": "# who",
		"  minutes: 4":            "  minutes: -4",
		"code: close_first":       "code: \"\"",
		"least_chance: 0.005":     "least_chance: 2",
		"leave:":                  "left:",
		"  text: \"Leave this to a person with the licence or training for it.\"": "",
	} {
		if !strings.Contains(text, old) {
			t.Fatalf("the file has no %q", old)
		}
		if _, err := ParseRules([]byte(strings.Replace(text, old, bad, 1))); !errors.Is(err, ErrRules) {
			t.Errorf("%s: %v", bad, err)
		}
	}
}

// The quick estimate agrees with the exact order where both see one way of
// finding per fault, and knowing more never lengthens it on average.
func TestEstimator(t *testing.T) {
	f := machine()
	f.Checks = slices.DeleteFunc(f.Checks, func(c knowledge.Check) bool { return c.Code == "socket" || c.Code == "board" })
	f.Faults[4].Access = 1 // the board is now found by changing it
	e, err := NewEstimator(f, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := e.forest.p
	p.Tasks = slices.Clone(p.Tasks)
	weights := []float64{.1, .4, .1, .1, .2, .1}
	p.Weights = weights
	for fault, task := range e.task {
		p.Tasks[task].Finds = []Find{{fault, 1}}
		p.Tasks[task].After = nil
		e.detect[fault] = 1
	}
	near(t, "minutes", e.Minutes(weights), solve(t, p).Minutes, 1e-9)
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.SliceOfN(rapid.Float64Range(0, 1), 6, 6)
		a, b := w.Draw(t, "a"), w.Draw(t, "b")
		both := make([]float64, 6)
		for i := range both {
			both[i] = a[i] + b[i]
		}
		if e.Minutes(a)+e.Minutes(b) > e.Minutes(both)+1e-9 {
			t.Fatal("knowing which made it longer")
		}
	})
}

func BenchmarkEstimator(b *testing.B) {
	f := machine()
	e, err := NewEstimator(f, nil)
	if err != nil {
		b.Fatal(err)
	}
	w := []float64{.1, .4, .1, .1, .2, .1}
	for b.Loop() {
		e.Minutes(w)
	}
}

// Common practice, no source: a gas-fired machine is opened by the licensed
// only, even for a part that has nothing to do with gas.
func TestPlan_NobodyOpensALicensedVariantWithoutTheLicence(t *testing.T) {
	f := &knowledge.Family{
		Code:     "f",
		Variants: []knowledge.Variant{{Code: "plain", Share: 0.5}, {Code: "fired", Share: 0.5, Licence: "gas"}},
		Parts:    []knowledge.Part{{Kind: "belt"}, {Kind: knowledge.NoPart}},
		Findings: []knowledge.Finding{{Code: "still", Leak: 0.01}},
		Faults: []knowledge.Fault{
			{Code: "belt", Prior: 0.2, Links: []knowledge.Link{{P: 0.9}}},
			{Code: "jam", Part: 1, Prior: 0.2, Links: []knowledge.Link{{P: 0.9}}},
		},
		Access: []knowledge.AccessGroup{{Code: "outside", Parent: -1}, {Code: "panel", Minutes: 10, Parent: -1}},
		Checks: []knowledge.Check{
			{Code: "belt", Faults: []int{0}, Instruction: "look at the belt", Minutes: 2, Access: 1, Hazard: knowledge.Isolated, Detects: 1, Expect: "whole"},
			{Code: "drum", Faults: []int{1}, Instruction: "look into the drum", Minutes: 2, Hazard: knowledge.Outside, Detects: 1, Expect: "empty"},
		},
	}
	m, err := belief.Compile(f, belief.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := m.Posterior(evidence.Evidence{Appliance: evidence.Appliance{Family: "f"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		variant string
		skills  []string
		steps   int
	}{
		{"plain", []string{"electrical"}, 2},
		{"fired", []string{"electrical"}, 1},
		{"fired", []string{"electrical", "gas"}, 2},
	} {
		got, err := Plan(p, Person{Skills: tc.skills, Variant: tc.variant}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Steps) != tc.steps {
			t.Errorf("%s with %v: %d steps, want %d", tc.variant, tc.skills, len(got.Steps), tc.steps)
		}
		if tc.steps == 1 && (len(got.Left) != 1 || got.Left[0].Reason != NotLicensed || got.Left[0].Need != "gas") {
			t.Errorf("%s with %v: left %+v, want the panel check for want of the gas licence", tc.variant, tc.skills, got.Left)
		}
	}
}
