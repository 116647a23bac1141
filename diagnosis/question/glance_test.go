package question

import (
	"math/rand/v2"
	"testing"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
)

// The slow twin weighs every question. On the families that ship, with the
// symptoms of a fault drawn by chance, the shortlist may cost little on average
// and never much.
func TestShortlist_AgainstWeighingAll(t *testing.T) {
	base, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(7, 7))
	for _, f := range base.Families {
		m, err := belief.Compile(f, belief.Options{})
		if err != nil {
			t.Fatal(err)
		}
		fast, err := New(m, DefaultCosts())
		if err != nil {
			t.Fatal(err)
		}
		slow := *fast
		slow.looked = len(f.Questions)
		const calls = 25
		lost, best, most := 0.0, 0.0, 0.0
		for range calls {
			e := evidence.Evidence{Appliance: evidence.Appliance{Family: f.Code}}
			fault := f.Faults[r.IntN(len(f.Faults))]
			for range r.IntN(4) {
				l := fault.Links[r.IntN(len(fault.Links))]
				e.Observations = append(e.Observations, evidence.Observation{
					Finding: f.Findings[l.Finding].Code, Present: true, Ratio: 60, Source: evidence.Said,
				})
			}
			x, err := fast.Next(e, nil)
			if err != nil {
				t.Fatal(err)
			}
			y, err := slow.Next(e, nil)
			if err != nil {
				t.Fatal(err)
			}
			gap := float64(y.Ranked[0].Net - x.Ranked[0].Net)
			if gap < -1e-6 {
				t.Fatalf("weighing all found less: %v against %v", y.Ranked[0].Net, x.Ranked[0].Net)
			}
			lost, best, most = lost+gap, best+max(0, float64(y.Ranked[0].Net)), max(most, gap)
		}
		t.Logf("%s: the shortlist loses %.2f of %.2f minutes a call, at most %.2f", f.Code, lost/calls, best/calls, most)
		if lost > 0.1*best {
			t.Errorf("%s: the shortlist loses %.2f of %.2f minutes a call, more than a tenth", f.Code, lost/calls, best/calls)
		}
	}
}
