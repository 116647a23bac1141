package knowledge_test

import (
	"testing"

	"onevisit/diagnosis/knowledge"
)

// BenchmarkLoad is what the knowledge costs at start-up.
func BenchmarkLoad(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := knowledge.Load(knowledge.Embedded()); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFindingIndex is one lookup by code.
func BenchmarkFindingIndex(b *testing.B) {
	base, err := knowledge.Default()
	if err != nil {
		b.Fatal(err)
	}
	f := base.Families[0]
	last := f.Findings[len(f.Findings)-1].Code
	for b.Loop() {
		if _, ok := f.FindingIndex(last); !ok {
			b.Fatal("not found")
		}
	}
}
