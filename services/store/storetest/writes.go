package storetest

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

var ctx = context.Background()

func readBack(t *testing.T, s job.Store) {
	j, e, w := FullJob("J1"), FullTechnician("T1"), FullWarehouse("W1")
	for _, v := range []any{j, e, w} {
		noZeroField(t, v)
	}
	c := both(both(putJobs(j), putTechnicians(e)), putWarehouses(w))
	c.RequestID, c.RequestJobID = "req-1", "J1"
	v := must(t, s, Region, c)
	if v < 1 {
		t.Fatalf("version is %d, want 1 or more", v)
	}
	j.Version, e.Version, w.Version = v, v, v

	gotJ, err := s.Job(ctx, Region, "J1")
	same(t, "Job", gotJ, j, err)
	gotE, err := s.Technician(ctx, Region, "T1")
	same(t, "Technician", gotE, e, err)
	gotW, err := s.Warehouse(ctx, Region, "W1")
	same(t, "Warehouse", gotW, w, err)
	gotR, err := s.JobByRequest(ctx, Region, "req-1")
	same(t, "JobByRequest", gotR, j, err)
	all, err := s.Warehouses(ctx, Region)
	same(t, "Warehouses", all, []fleet.Warehouse{w}, err)
	snap, err := s.Snapshot(ctx, Region)
	same(t, "Snapshot", snap, job.Snapshot{Technicians: []fleet.Technician{e}, Warehouses: []fleet.Warehouse{w}, Urgent: []job.Job{j}}, err)
	if err := s.Ping(ctx); err != nil {
		t.Errorf("Ping: %v", err)
	}
}

// noZeroField guards the sample: a field nobody set proves nothing when it comes
// back unset.
func noZeroField(t *testing.T, v any) {
	t.Helper()
	r := reflect.ValueOf(v)
	for i := range r.NumField() {
		if name := r.Type().Field(i).Name; name != "Version" && r.Field(i).IsZero() {
			t.Errorf("sample %T leaves %s unset", v, name)
		}
	}
}

func same[T any](t *testing.T, what string, got, want T, err error) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s differs (-want +got):\n%s", what, d)
	}
}

func wants(t *testing.T, what string, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("%s: error %v, want %v", what, err, want)
	}
}

func createOnly(t *testing.T, s job.Store) {
	must(t, s, Region, both(both(putJobs(PlainJob("J1")), putTechnicians(van("T1", 1))), putWarehouses(FullWarehouse("W1"))))
	for what, c := range map[string]job.Change{
		"job": putJobs(PlainJob("J1")), "technician": putTechnicians(van("T1", 1)), "warehouse": putWarehouses(FullWarehouse("W1")),
	} {
		_, err := s.Commit(ctx, Region, c)
		wants(t, "second create of a "+what, err, job.ErrStale)
	}
}

func stale(t *testing.T, s job.Store) {
	e := van("T1", 1)
	e.Version = must(t, s, Region, putTechnicians(e))
	old := e
	e.Label = "second"
	e.Version = must(t, s, Region, putTechnicians(e))
	if e.Version <= old.Version {
		t.Errorf("version went from %d to %d, want more", old.Version, e.Version)
	}
	old.Label = "late"
	_, err := s.Commit(ctx, Region, putTechnicians(old))
	wants(t, "write at an old version", err, job.ErrStale)
	ahead := e
	ahead.Version++
	_, err = s.Commit(ctx, Region, putTechnicians(ahead))
	wants(t, "write at a version never given", err, job.ErrStale)
	missing := van("T2", 1)
	missing.Version = 1
	_, err = s.Commit(ctx, Region, putTechnicians(missing))
	wants(t, "update of what is not there", err, job.ErrStale)
	got, err := s.Technician(ctx, Region, "T1")
	same(t, "after stale writes", got, e, err)
}

func deleteAndCreate(t *testing.T, s job.Store) {
	e := van("T1", 1)
	first := must(t, s, Region, both(putTechnicians(e), putJobs(FullJob("J1"))))
	remove := job.Change{
		Technicians: []job.Write[fleet.Technician]{{Value: fleet.Technician{ID: "T1"}, Expect: first, Delete: true}},
		Jobs:        []job.Write[job.Job]{{Value: job.Job{ID: "J1"}, Expect: first, Delete: true}},
	}
	wrong := remove
	wrong.Technicians = []job.Write[fleet.Technician]{{Value: fleet.Technician{ID: "T1"}, Expect: first + 1, Delete: true}}
	_, err := s.Commit(ctx, Region, wrong)
	wants(t, "delete at a wrong version", err, job.ErrStale)
	must(t, s, Region, remove)
	_, err = s.Technician(ctx, Region, "T1")
	wants(t, "read of a deleted one", err, job.ErrNotFound)
	_, err = s.Commit(ctx, Region, remove)
	wants(t, "delete of a deleted one", err, job.ErrStale)
	snap, err := s.Snapshot(ctx, Region)
	same(t, "snapshot after delete", snap, job.Snapshot{}, err)
	list, next, err := s.Technicians(ctx, Region, job.Page{})
	if len(list) != 0 || next != "" || err != nil {
		t.Errorf("list after delete: %d, %q, %v", len(list), next, err)
	}
	again := must(t, s, Region, putTechnicians(e))
	if again == first {
		t.Error("a record made again has its old version: a stale writer would not notice")
	}
	e.Version = first
	_, err = s.Commit(ctx, Region, putTechnicians(e))
	wants(t, "write at the version before deletion", err, job.ErrStale)
}

// allOrNothing puts one stale write at every place of a change in turn.
func allOrNothing(t *testing.T, s job.Store) {
	base := both(both(putJobs(PlainJob("J0")), putTechnicians(van("T0", 1))), putWarehouses(FullWarehouse("W0")))
	must(t, s, Region, base)
	for _, kind := range []string{"J", "T", "W"} {
		c := both(both(putJobs(FullJob("J1"), FullJob("J2")), putTechnicians(van("T1", 1), van("T2", 1))), putWarehouses(FullWarehouse("W1"), FullWarehouse("W2")))
		c.RequestID, c.RequestJobID = "req-9", "J1"
		switch kind { // the last of its kind must not exist, and does
		case "J":
			c.Jobs[1].Value.ID = "J0"
		case "T":
			c.Technicians[1].Value.ID = "T0"
		case "W":
			c.Warehouses[1].Value.ID = "W0"
		}
		_, err := s.Commit(ctx, Region, c)
		wants(t, "stale "+kind, err, job.ErrStale)
		for _, id := range []string{"1", "2"} {
			_, err = s.Job(ctx, Region, "J"+id)
			wants(t, "job after a failed change", err, job.ErrNotFound)
			_, err = s.Technician(ctx, Region, "T"+id)
			wants(t, "technician after a failed change", err, job.ErrNotFound)
			_, err = s.Warehouse(ctx, Region, "W"+id)
			wants(t, "warehouse after a failed change", err, job.ErrNotFound)
		}
		_, err = s.JobByRequest(ctx, Region, "req-9")
		wants(t, "request after a failed change", err, job.ErrNotFound)
		snap, err := s.Snapshot(ctx, Region)
		if err != nil || len(snap.Urgent) != 0 {
			t.Errorf("snapshot after a failed change: %d urgent, %v", len(snap.Urgent), err)
		}
	}
}

func requestOnce(t *testing.T, s job.Store) {
	c := putJobs(PlainJob("J1"))
	c.RequestID, c.RequestJobID = "req-1", "J1"
	must(t, s, Region, c)
	for what, id := range map[string]string{"the same job": "J1", "another job": "J2"} {
		c := putJobs(PlainJob(id)) // for J1 stale as well: the request id speaks first
		c.RequestID, c.RequestJobID = "req-1", id
		_, err := s.Commit(ctx, Region, c)
		wants(t, "request again with "+what, err, job.ErrDuplicateRequest)
		var d *job.DuplicateRequest
		if !errors.As(err, &d) || d.JobID != "J1" {
			t.Errorf("request again with %s: %v does not name J1", what, err)
		}
	}
	_, err := s.Job(ctx, Region, "J2")
	wants(t, "job of a repeated request", err, job.ErrNotFound)
	other := PlainJob("J1")
	other.Region = "south"
	c = putJobs(other)
	c.RequestID, c.RequestJobID = "req-1", "J1"
	must(t, s, "south", c) // request ids are a region's own
}

func requestConcurrently(t *testing.T, s job.Store) {
	var wg sync.WaitGroup
	results := make([]error, 32)
	for i := range results {
		wg.Go(func() {
			c := putJobs(PlainJob(numbered("J", i)))
			c.RequestID, c.RequestJobID = "req-1", numbered("J", i)
			_, results[i] = s.Commit(ctx, Region, c)
		})
	}
	wg.Wait()
	made := ""
	for i, err := range results {
		if err == nil {
			if made != "" {
				t.Fatalf("%s and %s were both made", made, numbered("J", i))
			}
			made = numbered("J", i)
		}
	}
	if made == "" {
		t.Fatalf("no request got through: %v", results[0])
	}
	for i, err := range results {
		var d *job.DuplicateRequest
		if err != nil && (!errors.As(err, &d) || d.JobID != made) {
			t.Errorf("request %d: %v, want a duplicate of %s", i, err, made)
		}
	}
	list, _, err := s.Jobs(ctx, Region, job.Filter{}, job.Page{})
	if err != nil || len(list) != 1 {
		t.Errorf("%d jobs, %v; want 1", len(list), err)
	}
}

func badNames(t *testing.T, s job.Store) {
	elsewhere := PlainJob("J1")
	elsewhere.Region = "south"
	orphan := putJobs(PlainJob("J1"))
	orphan.RequestID, orphan.RequestJobID = "r", "J2"
	nameless := putJobs(PlainJob("J1"))
	nameless.RequestJobID = "J1"
	for what, c := range map[string]job.Change{
		"empty change": {}, "empty id": putJobs(PlainJob("")), "id with a brace": putJobs(PlainJob("a}b")),
		"id with a zero byte": putTechnicians(van("a\x00b", 1)), "id too long": putWarehouses(FullWarehouse(strings.Repeat("x", 129))),
		"another region": putJobs(elsewhere), "a record twice": putJobs(PlainJob("J1"), PlainJob("J1")),
		"request without its job": orphan, "request without an id": nameless,
		"delete of nothing": {Jobs: []job.Write[job.Job]{{Value: PlainJob("J1"), Delete: true}}},
		"negative version":  {Jobs: []job.Write[job.Job]{{Value: PlainJob("J1"), Expect: -1}}},
	} {
		_, err := s.Commit(ctx, Region, c)
		wants(t, what, err, job.ErrBadName)
	}
	for _, region := range []string{"", "{north}", "no rth", "nörd"} {
		_, err := s.Snapshot(ctx, region)
		wants(t, "region "+region, err, job.ErrBadName)
		_, err = s.Job(ctx, region, "J1")
		wants(t, "region "+region, err, job.ErrBadName)
		_, _, err = s.Jobs(ctx, region, job.Filter{}, job.Page{})
		wants(t, "region "+region, err, job.ErrBadName)
	}
	_, err := s.Job(ctx, Region, "")
	wants(t, "empty id", err, job.ErrBadName)
	long := strings.Repeat("x", 128)
	must(t, s, Region, putJobs(PlainJob(long))) // the longest there may be
	if _, err := s.Job(ctx, Region, long); err != nil {
		t.Errorf("longest id: %v", err)
	}
}

func regionsApart(t *testing.T, s job.Store) {
	north, south := FullJob("J1"), FullJob("J1")
	south.Region, south.Family = "south", "cooker"
	north.Version = must(t, s, Region, putJobs(north))
	south.Version = must(t, s, "south", putJobs(south))
	got, err := s.Job(ctx, Region, "J1")
	same(t, "north", got, north, err)
	got, err = s.Job(ctx, "south", "J1")
	same(t, "south", got, south, err)
	list, _, err := s.Jobs(ctx, Region, job.Filter{}, job.Page{})
	same(t, "list of north", list, []job.Job{north}, err)
}

func restart(t *testing.T, s job.Store, reopen Reopen) {
	j, e, w := FullJob("J1"), FullTechnician("T1"), FullWarehouse("W1")
	c := both(both(putJobs(j), putTechnicians(e)), putWarehouses(w))
	c.RequestID, c.RequestJobID = "req-1", "J1"
	v := must(t, s, Region, c)
	j.Version, e.Version, w.Version = v, v, v
	for round := range 3 {
		s = reopen(t, s)
		snap, err := s.Snapshot(ctx, Region)
		same(t, "snapshot after restart", snap, job.Snapshot{Technicians: []fleet.Technician{e}, Warehouses: []fleet.Warehouse{w}, Urgent: []job.Job{j}}, err)
		got, err := s.JobByRequest(ctx, Region, "req-1")
		same(t, "request after restart", got, j, err)
		_, err = s.Commit(ctx, Region, c)
		wants(t, "request repeated after restart", err, job.ErrDuplicateRequest)
		e.FreeAt = e.FreeAt.Add(time.Duration(round+1) * time.Hour)
		v := must(t, s, Region, putTechnicians(e))
		if v <= e.Version {
			t.Errorf("version after restart is %d, was %d before", v, e.Version)
		}
		e.Version = v
	}
}
