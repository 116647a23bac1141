package storetest

import (
	"fmt"
	"testing"

	"onevisit/dispatch/job"
)

// Benchmark measures a whole booking, and its two calls of the store, in a region
// of 100 technicians with a part or more for every booking.
func Benchmark(b *testing.B, s job.Store) {
	for i := range 100 {
		if _, err := s.Commit(ctx, Region, putTechnicians(van(fmt.Sprintf("T%03d", i), 1000000))); err != nil {
			b.Fatal(err)
		}
	}
	n := 0
	b.Run("commit", func(b *testing.B) {
		for b.Loop() {
			n++
			if _, err := s.Commit(ctx, Region, putJobs(PlainJob(numbered("C", n)))); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("snapshot", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Snapshot(ctx, Region); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("book and cancel", func(b *testing.B) {
		for b.Loop() {
			n++
			j, err := Book(ctx, s, PlainJob(numbered("B", n)))
			if err != nil || j.State != job.Assigned {
				b.Fatal(j, err)
			}
			e, err := s.Technician(ctx, Region, j.Assignment.TechnicianID)
			if err != nil {
				b.Fatal(err)
			}
			c, err := job.Cancel(j, job.Holders{Technician: &e}, noon) // keeps the day short
			if err == nil {
				_, err = s.Commit(ctx, Region, c)
			}
			if err != nil {
				b.Fatal(err)
			}
		}
	})
}
