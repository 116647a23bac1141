package belief

import (
	"fmt"
	"testing"

	"onevisit/diagnosis/evidence"
)

// BenchmarkNothing is the loop itself, to read the others against.
func BenchmarkNothing(b *testing.B) {
	for b.Loop() {
	}
}

// spoken is evidence of k findings: all certain, or all soft.
func spoken(m *Model, k int, ratio float64) evidence.Evidence {
	e := evidence.Evidence{Appliance: evidence.Appliance{Family: m.family.Code}}
	for j := range k {
		e.Observations = append(e.Observations, evidence.Observation{
			Finding: m.family.Findings[(j*7)%len(m.family.Findings)].Code, Present: j%3 != 2, Ratio: ratio, Source: evidence.Said,
		})
	}
	return e
}

// BenchmarkPosterior: 40 faults, 30 findings of which 3, 6, 8 or 10 are heard,
// none for certain, which is the dear case.
func BenchmarkPosterior(b *testing.B) {
	m := compiled(b, dryerLike(40, 30), Options{})
	for _, k := range []int{3, 6, 8, 10} {
		e := spoken(m, k, 20)
		b.Run(fmt.Sprintf("findings=%d", k), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := m.Posterior(e); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkNeeds: the part sets a kit is chosen from, for findings that one
// fault accounts for.
func BenchmarkNeeds(b *testing.B) {
	m := compiled(b, dryerLike(40, 30), Options{})
	e := evidence.Evidence{Appliance: evidence.Appliance{Family: "net"}}
	told := map[int]bool{}
	for _, l := range m.family.Faults[14].Links {
		told[l.Finding] = true
	}
	for j, f := range m.family.Findings {
		if told[j] || len(e.Observations) < 8-len(told) {
			e.Observations = append(e.Observations, evidence.Observation{Finding: f.Code, Present: told[j], Ratio: 20, Source: evidence.Said})
		}
	}
	p := posterior(b, m, e)
	var within []int
	for _, x := range p.Parts() {
		if x.Needed > 0.05 {
			within = append(within, x.Part)
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		p.Needs(within, 1e-3)
	}
}

func BenchmarkExplain(b *testing.B) {
	m := compiled(b, dryerLike(40, 30), Options{})
	e := spoken(m, 6, 20)
	for b.Loop() {
		if _, err := m.Explain(e); err != nil {
			b.Fatal(err)
		}
	}
}
