package storetest

import (
	"testing"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

// Check fails the test when promises of the region do not match: a part
// promised twice or to a job that is not assigned, an assigned job without its
// stop or its parts, a technician in two places at once. It expects all jobs to
// have been made by booking.
func Check(t *testing.T, s job.Store, region string) {
	t.Helper()
	snap, err := s.Snapshot(ctx, region)
	if err != nil {
		t.Fatalf("Check: %v", err)
	}
	held := map[string]job.Job{} // jobs that have a right to stops and parts
	after := ""
	for {
		list, next, err := s.Jobs(ctx, region, job.Filter{States: []job.State{job.Assigned, job.UnderWay}}, job.Page{After: after})
		if err != nil {
			t.Fatalf("Check: %v", err)
		}
		for _, j := range list {
			held[j.ID] = j
		}
		if after = next; next == "" {
			break
		}
	}
	stops, parts := map[string]int{}, map[string]int{}
	for _, e := range snap.Technicians {
		checkStock(t, e.ID, e.Stock, held, parts)
		for i, stop := range e.Day {
			stops[stop.JobID]++
			j, ok := held[stop.JobID]
			if !ok || j.Assignment.TechnicianID != e.ID {
				t.Errorf("Check: %s has a stop for %s, which is not theirs", e.ID, stop.JobID)
			}
			if i > 0 && stop.Start.Before(e.Day[i-1].Finish) && !e.Day[i-1].Started {
				t.Errorf("Check: %s is at %s and %s at once", e.ID, e.Day[i-1].JobID, stop.JobID)
			}
		}
	}
	for _, w := range snap.Warehouses {
		checkStock(t, w.ID, w.Stock, held, parts)
	}
	for id, j := range held {
		want := 0
		for _, r := range j.Assignment.Reserved {
			want += r.Quantity
		}
		if stops[id] != 1 || parts[id] != want {
			t.Errorf("Check: %v has %d stops and %d parts, want 1 and %d", j, stops[id], parts[id], want)
		}
	}
}

func checkStock(t *testing.T, holder string, stock fleet.Stock, held map[string]job.Job, parts map[string]int) {
	t.Helper()
	if err := stock.Validate(); err != nil {
		t.Errorf("Check: stock of %s: %v", holder, err)
	}
	for _, l := range stock {
		for _, r := range l.Reservations {
			parts[r.JobID] += r.Quantity
			if _, ok := held[r.JobID]; !ok {
				t.Errorf("Check: %s keeps %s for %s, which is not assigned", holder, l.PartKind, r.JobID)
			}
		}
	}
}
