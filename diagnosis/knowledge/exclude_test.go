package knowledge_test

import (
	"testing"

	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
)

// A drum that turns by hand as it should is not stuck: the answers to one
// question exclude each other, and what was said more plainly stays.
func TestPlainest(t *testing.T) {
	f := &knowledge.Family{
		Findings: []knowledge.Finding{{Code: "smooth"}, {Code: "stuck"}, {Code: "noisy"}},
		Questions: []knowledge.Question{{Code: "by_hand", Answers: []knowledge.Answer{
			{Code: "smooth", Reports: []knowledge.Report{{Finding: 0, Present: true, Ratio: 9}, {Finding: 1, Ratio: 9}, {Finding: 2, Ratio: 9}}},
			{Code: "stuck", Reports: []knowledge.Report{{Finding: 1, Present: true, Ratio: 9}, {Finding: 0, Ratio: 9}}},
			{Code: "unknown"},
		}}},
	}
	yes := func(finding string, ratio float64) evidence.Observation {
		return evidence.Observation{Finding: finding, Present: true, Ratio: ratio}
	}
	no := func(finding string, ratio float64) evidence.Observation {
		return evidence.Observation{Finding: finding, Ratio: ratio}
	}
	for _, tc := range []struct {
		name string
		said []evidence.Observation
		want []string
	}{
		{"the plainer stays", []evidence.Observation{yes("stuck", 30), yes("smooth", 60)}, []string{"smooth"}},
		{"in either order", []evidence.Observation{yes("smooth", 5), yes("stuck", 60)}, []string{"stuck"}},
		{"a contradiction stays", []evidence.Observation{yes("smooth", 60), yes("stuck", 60)}, []string{"smooth", "stuck"}},
		{"denials stay", []evidence.Observation{no("stuck", 5), yes("smooth", 60)}, []string{"stuck", "smooth"}},
		{"one way is not exclusive", []evidence.Observation{yes("noisy", 5), yes("smooth", 60)}, []string{"noisy", "smooth"}},
		{"strangers stay", []evidence.Observation{yes("unheard of", 5), yes("smooth", 60)}, []string{"unheard of", "smooth"}},
		{"nothing said", nil, nil},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := f.Plainest(tc.said)
			if len(got) != len(tc.want) {
				t.Fatalf("kept %v, want %v", got, tc.want)
			}
			for i, w := range tc.want {
				if got[i].Finding != w {
					t.Errorf("kept %v, want %v", got, tc.want)
				}
			}
		})
	}
}

// The knowledge that ships has such answers in every family.
func TestExclusive_DrumByHand(t *testing.T) {
	base, err := knowledge.Default()
	if err != nil {
		t.Fatal(err)
	}
	f, ok := base.Family("tumble_dryer")
	if !ok {
		t.Fatal("no dryer")
	}
	a, _ := f.FindingIndex("turns_freely_by_hand_with_drag")
	b, _ := f.FindingIndex("drum_stiff")
	c, _ := f.FindingIndex("hums_not_starting")
	if !f.Exclusive(a, b) || !f.Exclusive(b, a) || f.Exclusive(a, c) {
		t.Error("normal by hand excludes stiff, and not a hum")
	}
}
