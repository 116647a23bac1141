package offer

import (
	"errors"
	"testing"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
)

func TestBook_NewJobWithPartsFromVanAndShelf(t *testing.T) {
	j := sure(need("belt", "1930 mm"), need("idler", "22 mm"))
	j.RequestID, j.State = "req-1", ""
	e := van("T1", 5, line("idler", "22 mm", 2, 1))
	e.Version = 7
	r := ask(j, e)
	w := shelfAt(6, line("belt", "1930 mm", 1, 0))
	w.Version = 9
	r.Warehouses = []fleet.Warehouse{w}
	d, err := Choose(r)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Book(d, r)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Validate("north"); err != nil {
		t.Error(err)
	}
	if len(c.Jobs) != 1 || len(c.Technicians) != 1 || len(c.Warehouses) != 1 ||
		c.Jobs[0].Expect != 0 || c.Technicians[0].Expect != 7 || c.Warehouses[0].Expect != 9 || c.RequestID != "req-1" || c.RequestJobID != "J1" {
		t.Fatalf("change is %+v", c)
	}
	got, gotE, gotW := c.Jobs[0].Value, c.Technicians[0].Value, c.Warehouses[0].Value
	if got.State != job.Assigned || got.Action != job.ActionAssign || len(got.Because) == 0 || len(got.Candidates) != 1 || !got.CreatedAt.Equal(eight) {
		t.Errorf("job is %+v", got)
	}
	if gotE.Stock[0].ReservedFor("J1") != 1 || gotE.Stock[0].Free() != 0 || gotW.Stock[0].ReservedFor("J1") != 1 {
		t.Errorf("van %v, shelf %v", gotE.Stock, gotW.Stock)
	}
	s, _, ok := gotE.Stop("J1")
	if !ok || s.Via == nil || s.Via.WarehouseID != "W1" || !s.Arrive.Equal(at(17)) { // 1 there, 10 picking, 6 on
		t.Errorf("stop is %+v", s)
	}
	if e.Stock[0].ReservedFor("J1") != 0 || w.Stock[0].ReservedFor("J1") != 0 || len(e.Day) != 0 {
		t.Error("the records given were changed")
	}
}

func TestBook_Refuses(t *testing.T) {
	r := ask(sure(need("belt", "")), van("T1", 5, line("belt", "", 1, 0)))
	d, err := Choose(r)
	if err != nil {
		t.Fatal(err)
	}
	gone := r
	gone.Technicians = nil
	if _, err := Book(d, gone); !errors.Is(err, ErrRequest) {
		t.Errorf("without the technician: %v", err)
	}
	taken := r
	taken.Technicians = []fleet.Technician{van("T1", 5, line("belt", "", 1, 1))}
	if _, err := Book(d, taken); !errors.Is(err, fleet.ErrNotEnough) {
		t.Errorf("the part was taken meanwhile: %v", err)
	}
	over := r
	over.Job.State = job.Done
	if _, err := Book(d, over); !errors.Is(err, job.ErrWrongState) {
		t.Errorf("a job that is done: %v", err)
	}
}

func TestBook_KeepsFewCandidates(t *testing.T) {
	var vans []fleet.Technician
	for i := range 3 * MaxCandidates {
		vans = append(vans, van(string(rune('A'+i)), float64(1+i), line("belt", "", 1, 0)))
	}
	r := ask(sure(need("belt", "")), vans...)
	d, err := Choose(r)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Book(d, r)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(c.Jobs[0].Value.Candidates); len(d.Candidates) != 3*MaxCandidates || n != MaxCandidates {
		t.Errorf("%d candidates, %d kept", len(d.Candidates), n)
	}
}

func TestReassign(t *testing.T) {
	near, far := van("T1", 3, line("belt", "", 1, 0)), van("T2", 9, line("belt", "", 1, 0))
	near.Version, far.Version = 4, 5
	r := ask(sure(need("belt", "")), near, far)
	d, err := Choose(r)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Book(d, r)
	if err != nil {
		t.Fatal(err)
	}
	booked := r
	booked.Job, booked.Technicians = c.Jobs[0].Value, []fleet.Technician{c.Technicians[0].Value, far}
	booked.Job.Version = 6

	// T1 breaks down: T2 goes, and T1 keeps nothing.
	d, c, err = Reassign(booked, "T1")
	if err != nil {
		t.Fatal(err)
	}
	if d.Assignment.TechnicianID != "T2" || len(c.Jobs) != 1 || c.Jobs[0].Expect != 6 || c.Jobs[0].Value.State != job.Assigned || len(c.Technicians) != 2 {
		t.Fatalf("decision %+v, change %+v", d.Assignment, c)
	}
	for _, w := range c.Technicians {
		e := w.Value
		want := 0
		if e.ID == "T2" {
			want = 1
		}
		if e.Stock[0].ReservedFor("J1") != want || len(e.Day) != want || w.Expect != map[string]int64{"T1": 4, "T2": 5}[e.ID] {
			t.Errorf("%s: %v, %v, expects %d", e.ID, e.Stock, e.Day, w.Expect)
		}
	}
	if err := c.Validate("north"); err != nil {
		t.Error(err)
	}

	// Chosen afresh, nothing stands in the way of T1 again: one write of T1.
	d, c, err = Reassign(booked)
	if err != nil || d.Assignment.TechnicianID != "T1" || len(c.Technicians) != 1 || c.Technicians[0].Value.Stock[0].ReservedFor("J1") != 1 || len(c.Technicians[0].Value.Day) != 1 {
		t.Errorf("afresh: %+v, %+v, %v", d.Assignment, c.Technicians, err)
	}

	// Nobody left: the job waits, T1 keeps nothing.
	d, c, err = Reassign(booked, "T1", "T2")
	if err != nil || d.Action != job.ActionEscalate || c.Jobs[0].Value.State != job.Waiting || len(c.Technicians) != 1 || c.Technicians[0].Value.Stock[0].ReservedFor("J1") != 0 {
		t.Errorf("nobody left: %s, %+v, %v", d.Action, c, err)
	}

	booked.Technicians = []fleet.Technician{far}
	if _, _, err = Reassign(booked); !errors.Is(err, ErrRequest) {
		t.Errorf("without the present holder: %v", err)
	}
}
