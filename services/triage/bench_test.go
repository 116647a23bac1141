package triage_test

import (
	"context"
	"fmt"
	"testing"

	commonv1 "onevisit/proto/onevisit/common/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/triage"
)

var said = []string{
	"it hums but won't turn",
	"The dryer runs and the drum goes round but everything comes out cold and wet, I have cleaned the filter",
	"It squeals when it starts from cold and there is a thump thump with every turn, still dries fine. No burning smell. My neighbour thinks it is the motor but I doubt it. It has been getting louder for a month and now it sometimes stops after ten minutes and the top is hot",
}

// What an assessment costs, by how much was said: words, belief, reasons, kit
// and question together.
func BenchmarkAssess(b *testing.B) {
	s, err := triage.New(triage.Config{})
	if err != nil {
		b.Fatal(err)
	}
	for _, text := range said {
		req := &triagev1.AssessRequest{Appliance: &commonv1.Appliance{Family: "tumble_dryer"}, Text: text}
		b.Run(fmt.Sprintf("bytes=%d", len(text)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Assess(context.Background(), req); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
