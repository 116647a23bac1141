package storetest

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"

	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	"onevisit/dispatch/travel"
)

// request is a booking over a snapshot.
func request(j job.Job, snap job.Snapshot) offer.Request {
	return offer.Request{
		Job: j, Technicians: snap.Technicians, Warehouses: snap.Warehouses, OpenUrgent: snap.Urgent,
		Travel: travel.Default(), Costs: offer.DefaultCosts(), Now: noon,
	}
}

// Book is the whole of a booking as an adapter does it: read the region, choose,
// commit, and start over while others are faster. A request already served
// gives its job.
func Book(c context.Context, s job.Store, j job.Job) (job.Job, error) {
	for {
		snap, err := s.Snapshot(c, j.Region)
		if err != nil {
			return j, err
		}
		r := request(j, snap)
		d, err := offer.Choose(r)
		if err != nil {
			return j, err
		}
		change, err := offer.Book(d, r)
		if err != nil {
			return j, err
		}
		version, err := s.Commit(c, j.Region, change)
		var duplicate *job.DuplicateRequest
		switch {
		case err == nil:
			out := change.Jobs[0].Value
			out.Version = version
			return out, nil
		case errors.As(err, &duplicate):
			return s.Job(c, j.Region, duplicate.JobID)
		case !errors.Is(err, job.ErrStale):
			return j, err
		}
	}
}

// bookers lets 64 at once go after 20 parts on 5 vans.
func bookers(t *testing.T, s job.Store) {
	const vans, each, callers = 5, 4, 64
	for i := range vans {
		must(t, s, Region, putTechnicians(van(numbered("T", i), each)))
	}
	var wg sync.WaitGroup
	got := make([]job.Job, callers)
	for i := range callers {
		wg.Go(func() {
			j := PlainJob(numbered("J", i))
			j.RequestID = numbered("req-", i)
			j.Place = travel.Place{Lat: 0.001 * float64(i), Lng: 0.002}
			var err error
			if got[i], err = Book(ctx, s, j); err != nil {
				t.Errorf("booking %d: %v", i, err)
			}
		})
	}
	wg.Wait()
	assigned := 0
	for _, j := range got {
		stored, err := s.Job(ctx, Region, j.ID)
		same(t, "acknowledged "+j.ID, stored, j, err)
		switch {
		case j.State == job.Assigned:
			assigned++
		case j.State != job.Waiting || j.Action != job.ActionOrderPart:
			t.Errorf("%v with action %s, want assigned, or waiting for a part", j, j.Action)
		}
	}
	if assigned != vans*each {
		t.Errorf("%d jobs assigned, want %d", assigned, vans*each)
	}
	Check(t, s, Region)
}

// reassigners moves, begins, completes and cancels the same few jobs from many
// sides at once.
func reassigners(t *testing.T, s job.Store) {
	for i := range 3 {
		must(t, s, Region, putTechnicians(van(numbered("T", i), 4)))
	}
	const jobs = 6
	for i := range jobs {
		if _, err := Book(ctx, s, PlainJob(numbered("J", i))); err != nil {
			t.Fatal(err)
		}
	}
	var wg sync.WaitGroup
	for w := range 8 {
		random := rand.New(rand.NewPCG(uint64(w), 7))
		wg.Go(func() {
			for range 12 {
				id := numbered("J", random.IntN(jobs))
				if err := step(s, id, random.IntN(4)); err != nil {
					t.Errorf("step on %s: %v", id, err)
				}
			}
		})
	}
	wg.Wait()
	Check(t, s, Region)
}

// step does one thing to a job, if its state allows and nobody is faster.
func step(s job.Store, id string, what int) error {
	snap, err := s.Snapshot(ctx, Region)
	if err != nil {
		return err
	}
	j, err := s.Job(ctx, Region, id)
	if err != nil {
		return err
	}
	var h job.Holders
	tid, _ := j.HolderIDs()
	for i := range snap.Technicians {
		if snap.Technicians[i].ID == tid {
			h.Technician = &snap.Technicians[i]
		}
	}
	var change job.Change
	switch what {
	case 0:
		_, change, err = offer.Reassign(request(j, snap), tid)
	case 1:
		change, err = job.Begin(j, h, noon)
	case 2:
		change, err = job.Complete(j, job.Result{Fixed: true, Used: []job.Used{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: 1}}}, h, noon)
	case 3:
		change, err = job.Release(j, h, noon)
	}
	if err == nil {
		_, err = s.Commit(ctx, Region, change)
	}
	// Two reads are not one moment, so holders may not match: like stale, that
	// means somebody was faster.
	if errors.Is(err, job.ErrWrongState) || errors.Is(err, job.ErrStale) || errors.Is(err, job.ErrHolder) {
		return nil
	}
	return err
}

// faults fails each call of a booking in turn, before it and after it, and
// repeats the request: nothing half done, and one job in the end.
func faults(t *testing.T, s job.Store) {
	must(t, s, Region, putTechnicians(van("T1", 100)))
	n := 0
	for _, after := range []bool{false, true} {
		for at := 1; ; at++ {
			n++
			j := PlainJob(numbered("J", n))
			j.RequestID = numbered("req-", n)
			f := &Failing{Store: s, At: at, After: after}
			_, err := Book(ctx, f, j)
			Check(t, s, Region)
			if err == nil {
				if f.Calls() >= at {
					t.Errorf("call %d failed and nobody noticed", at)
				}
				break // fewer calls than that: every one has failed once
			}
			wants(t, fmt.Sprintf("call %d failing", at), err, job.ErrUnavailable)
			// The caller tries again, as another process might, under another id.
			again := j
			again.ID = numbered("K", n)
			got, err := Book(ctx, s, again)
			if err != nil || got.State != job.Assigned {
				t.Fatalf("trying again: %v, %v", got, err)
			}
			both := 0
			for _, id := range []string{j.ID, again.ID} {
				if _, err := s.Job(ctx, Region, id); err == nil {
					both++
				}
			}
			if both != 1 {
				t.Errorf("call %d failing (after: %v): %d jobs for one request", at, after, both)
			}
			Check(t, s, Region)
		}
	}
	if n < 6 {
		t.Errorf("only %d bookings: the faults did not reach snapshot and commit", n)
	}
}
