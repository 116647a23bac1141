package knowledge_test

import (
	"cmp"
	"slices"
	"testing"

	"onevisit/diagnosis/knowledge"
)

// needed is a part kind with the probability that it is needed.
type needed struct {
	kind string
	p    float64
}

// rank works out, apart from any room of the product, which part kinds are
// needed when some findings are certain. It is the plain noisy-OR with leak by
// inclusion and exclusion over the present findings (Heckerman 1989), with
// every fault on its own (cause links left out) and at least one fault there.
// An unknown code fails the test.
func rank(t *testing.T, f *knowledge.Family, variant string, present, absent []string) []needed {
	t.Helper()
	priors := make([]float64, len(f.Faults))
	for i, fault := range f.Faults {
		odds := fault.Prior / (1 - fault.Prior)
		if variant == "" {
			mixed := 0.0
			for _, v := range f.Variants {
				mixed += v.Share * factor(fault, v.Code)
			}
			odds *= mixed
		} else {
			odds *= factor(fault, variant)
		}
		priors[i] = odds / (1 + odds)
	}
	find := func(code string) int {
		i, ok := f.FindingIndex(code)
		if !ok {
			t.Fatalf("no finding %q in %s", code, f.Code)
		}
		return i
	}
	// stays[i][s] is the chance that fault i leaves every absent finding and
	// every present finding of the subset s alone.
	n := len(present)
	subset := 1 << n
	q := func(i, finding int) float64 {
		for _, l := range f.Faults[i].Links {
			if l.Finding == finding {
				return l.P
			}
		}
		return 0
	}
	stays := make([][]float64, len(f.Faults))
	for i := range f.Faults {
		stays[i] = make([]float64, subset)
		for s := range subset {
			stays[i][s] = 1
			for j, code := range present {
				if s>>j&1 == 1 {
					stays[i][s] *= 1 - q(i, find(code))
				}
			}
			for _, code := range absent {
				stays[i][s] *= 1 - q(i, find(code))
			}
		}
	}
	leaks := make([]float64, subset)
	for s := range subset {
		leaks[s] = 1
		for j, code := range present {
			if s>>j&1 == 1 {
				leaks[s] *= -(1 - f.Findings[find(code)].Leak) // the sign of inclusion and exclusion
			}
		}
		for _, code := range absent {
			leaks[s] *= 1 - f.Findings[find(code)].Leak
		}
	}
	// joint is P(findings, none of the faults in off).
	joint := func(off func(i int) bool) float64 {
		sum := 0.0
		for s := range subset {
			term := leaks[s]
			for i := range f.Faults {
				if off(i) {
					term *= 1 - priors[i]
				} else {
					term *= 1 - priors[i] + priors[i]*stays[i][s]
				}
			}
			sum += term
		}
		return sum
	}
	all := joint(func(int) bool { return false })
	none := joint(func(int) bool { return true })
	out := make([]needed, len(f.Parts))
	for p, part := range f.Parts {
		without := joint(func(i int) bool { return f.Faults[i].Part == p })
		out[p] = needed{part.Kind, (all - without) / (all - none)}
	}
	slices.SortStableFunc(out, func(a, b needed) int { return cmp.Compare(b.p, a.p) })
	return out
}

func factor(f knowledge.Fault, variant string) float64 {
	if v, named := f.Variants[variant]; named {
		return v
	}
	return 1
}
