package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

func notFound(t *testing.T, s job.Store) {
	look := func(when string) {
		_, err := s.Job(ctx, Region, "J9")
		wants(t, when+": job", err, job.ErrNotFound)
		_, err = s.Technician(ctx, Region, "T9")
		wants(t, when+": technician", err, job.ErrNotFound)
		_, err = s.Warehouse(ctx, Region, "W9")
		wants(t, when+": warehouse", err, job.ErrNotFound)
		_, err = s.JobByRequest(ctx, Region, "R9")
		wants(t, when+": request", err, job.ErrNotFound)
	}
	look("empty store")
	snap, err := s.Snapshot(ctx, Region)
	same(t, "snapshot of nothing", snap, job.Snapshot{}, err)
	list, next, err := s.Jobs(ctx, Region, job.Filter{}, job.Page{})
	if len(list) != 0 || next != "" || err != nil {
		t.Errorf("list of nothing: %v, %q, %v", list, next, err)
	}
	must(t, s, Region, both(both(putJobs(PlainJob("J1")), putTechnicians(van("T1", 1))), putWarehouses(FullWarehouse("W1"))))
	look("other records")
}

// allJobs walks every page and gives ids in the order met.
func allJobs(t *testing.T, s job.Store, f job.Filter, size int) []string {
	t.Helper()
	var ids []string
	after := ""
	for {
		list, next, err := s.Jobs(ctx, Region, f, job.Page{After: after, Size: size})
		if err != nil {
			t.Fatalf("Jobs: %v", err)
		}
		if size > 0 && len(list) > size {
			t.Fatalf("page of %d, asked for %d", len(list), size)
		}
		for _, j := range list {
			ids = append(ids, j.ID)
		}
		if next == "" {
			return ids
		}
		if len(list) == 0 || next != list[len(list)-1].ID {
			t.Fatalf("next page after %q, but the page of %d ends otherwise", next, len(list))
		}
		if next <= after {
			t.Fatalf("the page after %q leads to %q: it does not move on", after, next)
		}
		after = next
	}
}

func pages(t *testing.T, s job.Store) {
	var want, waiting, his []string
	for i := range 25 {
		j := PlainJob(numbered("J", i)) // J10 comes before J2: bytes, not numbers
		if i%3 == 0 {
			j.State = job.Waiting
			waiting = append(waiting, j.ID)
		}
		if i%5 == 0 {
			j.Assignment = &job.Assignment{TechnicianID: "T1"}
			his = append(his, j.ID)
		}
		want = append(want, j.ID)
		must(t, s, Region, putJobs(j))
	}
	slices.Sort(want)
	slices.Sort(waiting)
	slices.Sort(his)
	for _, size := range []int{0, 1, 2, 7, 24, 25, 26, 5000} {
		if got := allJobs(t, s, job.Filter{}, size); !slices.Equal(got, want) {
			t.Errorf("size %d: %v, want %v", size, got, want)
		}
		if got := allJobs(t, s, job.Filter{States: []job.State{job.Waiting, job.Done}}, size); !slices.Equal(got, waiting) {
			t.Errorf("size %d, waiting: %v, want %v", size, got, waiting)
		}
		if got := allJobs(t, s, job.Filter{TechnicianID: "T1"}, size); !slices.Equal(got, his) {
			t.Errorf("size %d, of T1: %v, want %v", size, got, his)
		}
		if got := allJobs(t, s, job.Filter{States: []job.State{job.Cancelled}}, size); len(got) != 0 {
			t.Errorf("size %d, cancelled: %v, want none", size, got)
		}
	}
	list, next, err := s.Jobs(ctx, Region, job.Filter{}, job.Page{After: "zzz"})
	if len(list) != 0 || next != "" || err != nil {
		t.Errorf("after the end: %d, %q, %v", len(list), next, err)
	}
	if list, _, _ = s.Jobs(ctx, Region, job.Filter{}, job.Page{After: "J2-not-there", Size: 1}); len(list) != 1 || list[0].ID != "J20" {
		t.Errorf("after an id that is not there: %v, want J20", list)
	}
}

// pagesWhileWriting lists while others write: what was there all the time is
// met exactly once.
func pagesWhileWriting(t *testing.T, s job.Store) {
	var want []string
	for i := range 20 {
		id := fmt.Sprintf("K%02d", i)
		want = append(want, id)
		must(t, s, Region, putJobs(PlainJob(id)))
	}
	stop := make(chan struct{})
	var wg sync.WaitGroup
	wg.Go(func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			j := PlainJob(fmt.Sprintf("K%02dx%d", i%20, i))
			v, err := s.Commit(ctx, Region, putJobs(j))
			if err == nil && i%2 == 0 {
				_, err = s.Commit(ctx, Region, job.Change{Jobs: []job.Write[job.Job]{{Value: j, Expect: v, Delete: true}}})
			}
			if err != nil {
				t.Errorf("writer: %v", err)
				return
			}
		}
	})
	for range 10 {
		seen := map[string]int{}
		for _, id := range allJobs(t, s, job.Filter{}, 3) {
			seen[id]++
		}
		for _, id := range want {
			if seen[id] != 1 {
				t.Errorf("%s was listed %d times", id, seen[id])
			}
		}
	}
	close(stop)
	wg.Wait()
}

func technicianPages(t *testing.T, s job.Store) {
	var want []string
	for i := range 12 {
		must(t, s, Region, putTechnicians(van(numbered("T", i), 1)))
		want = append(want, numbered("T", i))
	}
	slices.Sort(want)
	for _, size := range []int{0, 1, 5, 12, 13} {
		var got []string
		after := ""
		for {
			list, next, err := s.Technicians(ctx, Region, job.Page{After: after, Size: size})
			if err != nil {
				t.Fatalf("Technicians: %v", err)
			}
			for _, e := range list {
				got = append(got, e.ID)
			}
			if next != "" && next <= after {
				t.Fatalf("the page after %q leads to %q: it does not move on", after, next)
			}
			if after = next; next == "" {
				break
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("size %d: %v, want %v", size, got, want)
		}
	}
}

// copies writes into what was given and what was got.
func copies(t *testing.T, s job.Store) {
	j, e := FullJob("J1"), FullTechnician("T1")
	wantJ, wantE := FullJob("J1"), FullTechnician("T1")
	v := must(t, s, Region, both(putJobs(j), putTechnicians(e)))
	wantJ.Version, wantE.Version = v, v
	for range 2 {
		j.Requirement.Parts[0].Quantity, j.Candidates[0].Reason, j.Assignment.TechnicianID, j.Case[0] = 99, "x", "T9", 7
		e.Stock[0].Reservations[0].Quantity, e.Day[0].JobID, e.Position.At, e.Day[0].Via.Open[0].Start = 99, "J9", noon.Add(99), noon.Add(99)
		var err error
		if j, err = s.Job(ctx, Region, "J1"); err != nil {
			t.Fatal(err)
		}
		same(t, "job", j, wantJ, nil)
		snap, err := s.Snapshot(ctx, Region)
		if err != nil {
			t.Fatal(err)
		}
		e = snap.Technicians[0]
		same(t, "technician", e, wantE, nil)
	}
}

func snapshotUrgent(t *testing.T, s job.Store) {
	j := PlainJob("J1")
	j.Priority = job.Urgent
	for _, step := range []struct {
		state    job.State
		priority job.Priority
		listed   bool
	}{
		{job.Created, job.Urgent, true}, {job.Waiting, job.Urgent, true}, {job.Assigned, job.Urgent, false},
		{job.Waiting, job.Urgent, true}, {job.Waiting, job.Normal, false}, {job.Created, job.Urgent, true},
		{job.Cancelled, job.Urgent, false},
	} {
		j.State, j.Priority = step.state, step.priority
		j.Version = must(t, s, Region, putJobs(j))
		snap, err := s.Snapshot(ctx, Region)
		want := job.Snapshot{}
		if step.listed {
			want.Urgent = []job.Job{j}
		}
		same(t, fmt.Sprintf("%s %s", step.priority, step.state), snap, want, err)
	}
}

// snapshotOneMoment moves a part from van to van and counts while it moves.
func snapshotOneMoment(t *testing.T, s job.Store) {
	a, b := van("T1", 5), van("T2", 5)
	a.Version = must(t, s, Region, putTechnicians(a, b))
	b.Version = a.Version
	stop := make(chan struct{})
	var moves atomic.Int64
	var wg sync.WaitGroup
	wg.Go(func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			d := 1
			if i%2 == 0 {
				d = -1
			}
			a.Stock, b.Stock = a.Stock.Clone(), b.Stock.Clone()
			a.Stock[0].Quantity += d
			b.Stock[0].Quantity -= d
			v, err := s.Commit(ctx, Region, putTechnicians(a, b))
			if err != nil {
				t.Errorf("move: %v", err)
				return
			}
			a.Version, b.Version = v, v
			moves.Add(1)
		}
	})
	for n := 0; n < 200 || moves.Load() < 50; n++ {
		snap, err := s.Snapshot(ctx, Region)
		if err != nil {
			t.Errorf("Snapshot: %v", err)
			break
		}
		if sum := snap.Technicians[0].Stock[0].Quantity + snap.Technicians[1].Stock[0].Quantity; sum != 10 {
			t.Errorf("%d parts in the snapshot, want 10", sum)
			break
		}
		if t.Failed() {
			break
		}
	}
	close(stop)
	wg.Wait()
}

// everyCall makes each call of the port once.
func everyCall(c context.Context, s job.Store) map[string]error {
	out := map[string]error{}
	_, out["Commit"] = s.Commit(c, Region, putTechnicians(van("T8", 1)))
	_, out["Job"] = s.Job(c, Region, "J1")
	_, out["Technician"] = s.Technician(c, Region, "T1")
	_, out["Warehouse"] = s.Warehouse(c, Region, "W1")
	_, out["JobByRequest"] = s.JobByRequest(c, Region, "R1")
	_, _, out["Jobs"] = s.Jobs(c, Region, job.Filter{}, job.Page{})
	_, _, out["Technicians"] = s.Technicians(c, Region, job.Page{})
	_, out["Warehouses"] = s.Warehouses(c, Region)
	_, out["Snapshot"] = s.Snapshot(c, Region)
	out["Ping"] = s.Ping(c)
	return out
}

func cancelled(t *testing.T, s job.Store) {
	must(t, s, Region, putTechnicians(van("T1", 1)))
	done, cancel := context.WithCancel(ctx)
	cancel()
	for call, err := range everyCall(done, s) {
		wants(t, call, err, context.Canceled)
	}
	_, err := s.Technician(ctx, Region, "T8")
	wants(t, "after a cancelled commit", err, job.ErrNotFound)
}

func closed(t *testing.T, s job.Store) {
	must(t, s, Region, putTechnicians(van("T1", 1)))
	if err := s.Close(); err != nil {
		t.Fatalf("Close: %v", err)
	}
	for call, err := range everyCall(ctx, s) {
		wants(t, call, err, job.ErrClosed)
	}
	if err := s.Close(); err != nil {
		t.Errorf("second Close: %v", err)
	}
}

// counter is the plainest lost-update test: many add one to the same record.
func counter(t *testing.T, s job.Store) {
	must(t, s, Region, putTechnicians(van("T1", 0)))
	var wg sync.WaitGroup
	const workers, each = 16, 5
	for range workers {
		wg.Go(func() {
			for range each {
				for {
					e, err := s.Technician(ctx, Region, "T1")
					if err == nil {
						if e.Stock, err = e.Stock.Adjust("run_capacitor", "8 µF 450 V", 1); err == nil {
							_, err = s.Commit(ctx, Region, putTechnicians(e))
						}
					}
					if err == nil {
						break
					}
					if !errors.Is(err, job.ErrStale) {
						t.Errorf("add: %v", err)
						return
					}
				}
			}
		})
	}
	wg.Wait()
	e, err := s.Technician(ctx, Region, "T1")
	if err != nil || e.Stock[0].Quantity != workers*each {
		t.Errorf("counted %d, %v; want %d", e.Stock[0].Quantity, err, workers*each)
	}
	var none fleet.Technician
	if e.Version == none.Version {
		t.Error("no version")
	}
}
