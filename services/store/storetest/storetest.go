package storetest

import (
	"context"
	"testing"

	"onevisit/dispatch/job"
)

// Open gives an empty store, of which nobody else knows, closed by the test's
// cleanup if the case did not.
type Open func(t *testing.T) job.Store

// Reopen ends the store the hard way, as far as its kind allows, and gives a
// new one over the same data.
type Reopen func(t *testing.T, s job.Store) job.Store

// Run runs every case, each on its own store.
func Run(t *testing.T, open Open, reopen Reopen) {
	for _, c := range []struct {
		name string
		run  func(*testing.T, job.Store)
	}{
		{"ReadBack", readBack},
		{"CreateOnly", createOnly},
		{"Stale", stale},
		{"DeleteAndCreateAgain", deleteAndCreate},
		{"AllOrNothing", allOrNothing},
		{"RequestOnce", requestOnce},
		{"RequestOnceConcurrently", requestConcurrently},
		{"BadNames", badNames},
		{"NotFound", notFound},
		{"RegionsApart", regionsApart},
		{"Pages", pages},
		{"PagesWhileWriting", pagesWhileWriting},
		{"TechnicianPages", technicianPages},
		{"Copies", copies},
		{"SnapshotUrgent", snapshotUrgent},
		{"SnapshotOneMoment", snapshotOneMoment},
		{"Counter", counter},
		{"Bookers", bookers},
		{"Reassigners", reassigners},
		{"Faults", faults},
		{"Cancelled", cancelled},
		{"Closed", closed},
	} {
		t.Run(c.name, func(t *testing.T) { c.run(t, open(t)) })
	}
	t.Run("Restart", func(t *testing.T) { restart(t, open(t), reopen) })
}

// must commits and gives the version.
func must(t *testing.T, s job.Store, region string, c job.Change) int64 {
	t.Helper()
	v, err := s.Commit(context.Background(), region, c)
	if err != nil {
		t.Fatalf("Commit: %v", err)
	}
	return v
}
