package knowledge_test

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"onevisit/diagnosis/knowledge"
)

// needed is a part kind with the probability that it is needed.
type needed struct {
	kind string
	p    float64
}

// said is a finding with the strength of its report, infinite when certain.
type said struct {
	code    string
	present bool
	ratio   float64
}

// rank is weigh for findings that are certain.
func rank(t *testing.T, f *knowledge.Family, variant string, present, absent []string) []needed {
	t.Helper()
	var all []said
	for _, code := range present {
		all = append(all, said{code, true, math.Inf(1)})
	}
	for _, code := range absent {
		all = append(all, said{code, false, math.Inf(1)})
	}
	return weigh(t, f, variant, all)
}

// weigh works out, apart from any room of the product, which part kinds are
// needed. It is the plain noisy-OR with leak by inclusion and exclusion
// (Heckerman 1989) with virtual evidence (Pearl 1988): every fault on its own
// (cause links left out) and at least one fault there. An unknown code fails the
// test.
func weigh(t *testing.T, f *knowledge.Family, variant string, all []said) []needed {
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
	// An observation weighs one when the finding is as reported and 1/ratio
	// when not. With u = P(finding absent | faults), a product over leak and
	// faults, that is constant + slope*u.
	subset := 1 << len(all)
	stays := make([][]float64, len(f.Faults)) // P(fault i leaves the findings of the subset alone | it is there)
	for i := range stays {
		stays[i] = make([]float64, subset)
		for s := range subset {
			stays[i][s] = 1
		}
	}
	weight := make([]float64, subset)
	for s := range subset {
		weight[s] = 1
	}
	for j, o := range all {
		at, ok := f.FindingIndex(o.code)
		if !ok {
			t.Fatalf("no finding %q in %s", o.code, f.Code)
		}
		constant, slope := 1.0, 1/o.ratio-1
		if !o.present {
			constant, slope = 1/o.ratio, 1-1/o.ratio
		}
		for s := range subset {
			if s>>j&1 == 0 {
				weight[s] *= constant
				continue
			}
			weight[s] *= slope * (1 - f.Findings[at].Leak)
			for i := range f.Faults {
				for _, l := range f.Faults[i].Links {
					if l.Finding == at {
						stays[i][s] *= 1 - l.P
					}
				}
			}
		}
	}
	// joint is P(findings, none of the faults that are off).
	joint := func(off func(i int) bool) float64 {
		sum := 0.0
		for s := range subset {
			term := weight[s]
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
	whole := joint(func(int) bool { return false })
	none := joint(func(int) bool { return true })
	out := make([]needed, len(f.Parts))
	for p, part := range f.Parts {
		without := joint(func(i int) bool { return f.Faults[i].Part == p })
		out[p] = needed{part.Kind, (whole - without) / (whole - none)}
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
