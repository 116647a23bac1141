package job

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"onevisit/dispatch/fleet"
)

var now = time.Date(2031, 5, 6, 9, 0, 0, 0, time.UTC)

// The whole table, so that an arrow added or lost shows here.
func TestTransition_EveryPair(t *testing.T) {
	allowed := map[State]string{
		Created:   "waiting assigned cancelled",
		Waiting:   "waiting assigned cancelled done",
		Assigned:  "assigned waiting under_way cancelled",
		UnderWay:  "done waiting cancelled",
		Done:      "",
		Cancelled: "",
		"":        "",
		"unheard": "",
	}
	for from, list := range allowed {
		for _, to := range append(States(), "", "unheard") {
			want := slices.Contains(strings.Fields(list), string(to))
			j, err := Transition(Job{ID: "J1", State: from, Assignment: &Assignment{}}, to, now)
			if (err == nil) != want || (err != nil && !errors.Is(err, ErrWrongState)) {
				t.Errorf("%q to %q: %v, want allowed %v", from, to, err, want)
			}
			if err != nil && j.State != from {
				t.Errorf("%q to %q failed and left %q", from, to, j.State)
			}
			if err == nil && (j.Assignment == nil) != (to == Waiting || to == Cancelled) {
				t.Errorf("%q to %q: assignment %v", from, to, j.Assignment)
			}
		}
	}
}

func TestPrivate_DoesNotPrint(t *testing.T) {
	j := Job{ID: "J1", State: Created, Words: "secret words", Address: "secret house", Customer: "secret reference"}
	for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%q", "%x"} {
		for _, v := range []any{j.Words, j, &j, []Job{j}, struct{ J Job }{j}, map[string]Private{"a": j.Address}} {
			text := fmt.Sprintf(verb, v)
			if strings.Contains(text, "secret") || strings.Contains(text, fmt.Sprintf("%x", "secret")) {
				t.Errorf("%s of %T tells: %s", verb, v, text)
			}
		}
	}
}

func TestRequirement(t *testing.T) {
	belt := Need{PartKind: "belt", Quantity: 1, Probability: 0.7}
	r := Requirement{Parts: []Need{belt}, Outcomes: []Outcome{
		{Probability: 0.6, Parts: []Need{belt}, Duration: 30 * time.Minute}, {Probability: 0.2, Duration: 61 * time.Minute}, {Probability: 0.1},
	}}
	if err := r.Validate(); err != nil {
		t.Fatal(err)
	}
	// (0.6 · 30 + 0.2 · 61) / 0.8 = 37.75, up to 38
	if got := r.OnSite(); got != 38*time.Minute {
		t.Errorf("on site %v, want 38 min", got)
	}
	if got := r.Faults(); len(got) != 3 {
		t.Errorf("%d outcomes, want 3", len(got))
	}
	r.Certain = true
	if got := r.Faults(); len(got) != 1 || got[0].Probability != 1 || len(got[0].Parts) != 1 {
		t.Errorf("sure outcomes: %+v", got)
	}
	if got := (Requirement{}).OnSite(); got != 0 {
		t.Errorf("nothing known: %v", got)
	}
	for what, bad := range map[string]Requirement{
		"negative duration": {Duration: -1},
		"nameless part":     {Parts: []Need{{Quantity: 1}}},
		"none of a part":    {Parts: []Need{{PartKind: "belt"}}},
		"too many":          {Parts: []Need{{PartKind: "belt", Quantity: MaxQuantity + 1}}},
		"probability":       {Outcomes: []Outcome{{Probability: 1.1}}},
		"sum":               {Outcomes: []Outcome{{Probability: 0.6}, {Probability: 0.6}}},
		"part of outcome":   {Outcomes: []Outcome{{Parts: []Need{{}}}}},
		"outcome duration":  {Outcomes: []Outcome{{Duration: -1}}},
	} {
		if err := bad.Validate(); !errors.Is(err, ErrRequirement) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestPage_Limit(t *testing.T) {
	for size, want := range map[int]int{-1: DefaultPage, 0: DefaultPage, 1: 1, MaxPage: MaxPage, MaxPage + 1: MaxPage} {
		if got := (Page{Size: size}).Limit(); got != want {
			t.Errorf("size %d: %d, want %d", size, got, want)
		}
	}
}

// life is a job assigned with one part on the van and one from the shelf.
func life(t *testing.T) (Job, Holders) {
	t.Helper()
	e := fleet.Technician{ID: "T1", Region: "north", Version: 5, Stock: fleet.Stock{{PartKind: "belt", Mark: "1930 mm", Quantity: 2}}}
	w := fleet.Warehouse{ID: "W1", Region: "north", Version: 6, Stock: fleet.Stock{{PartKind: "idler", Mark: "22 mm", Quantity: 3}}}
	j := Job{ID: "J1", Region: "north", State: Created, Version: 4}
	a := Assignment{TechnicianID: "T1", WarehouseID: "W1", Reserved: []Reserved{
		{PartKind: "belt", Mark: "1930 mm", Quantity: 1}, {WarehouseID: "W1", PartKind: "idler", Mark: "22 mm", Quantity: 2},
	}}
	c, err := Assign(j, a, []fleet.Stop{{JobID: "J0"}, {JobID: "J1"}}, Holders{&e, &w}, now)
	if err != nil {
		t.Fatal(err)
	}
	if c.Jobs[0].Expect != 4 || c.Technicians[0].Expect != 5 || c.Warehouses[0].Expect != 6 {
		t.Errorf("expects %d, %d, %d; want the versions read", c.Jobs[0].Expect, c.Technicians[0].Expect, c.Warehouses[0].Expect)
	}
	if err := c.Validate("north"); err != nil {
		t.Error(err)
	}
	if e.Stock[0].Free() != 2 || w.Stock[0].Free() != 3 || len(e.Day) != 0 {
		t.Error("Assign changed the records it was given")
	}
	return c.Jobs[0].Value, Holders{&c.Technicians[0].Value, &c.Warehouses[0].Value}
}

func TestAssign(t *testing.T) {
	j, h := life(t)
	if j.State != Assigned || j.Action != ActionAssign || !j.UpdatedAt.Equal(now) {
		t.Errorf("job is %v, %s", j, j.Action)
	}
	if h.Technician.Stock[0].ReservedFor("J1") != 1 || h.Warehouse.Stock[0].ReservedFor("J1") != 2 || len(h.Technician.Day) != 2 {
		t.Errorf("van %v, shelf %v, day %v", h.Technician.Stock, h.Warehouse.Stock, h.Technician.Day)
	}
	fresh := Job{ID: "J2", State: Created}
	day := []fleet.Stop{{JobID: "J2"}}
	for what, c := range map[string]struct {
		j    Job
		a    Assignment
		day  []fleet.Stop
		h    Holders
		want error
	}{
		"more than there is": {fresh, Assignment{TechnicianID: "T1", Reserved: []Reserved{{PartKind: "belt", Mark: "1930 mm", Quantity: 2}}}, day, Holders{Technician: h.Technician}, fleet.ErrNotEnough},
		"nobody":             {fresh, Assignment{TechnicianID: "T1"}, day, Holders{}, ErrHolder},
		"somebody else":      {fresh, Assignment{TechnicianID: "T2"}, day, Holders{Technician: h.Technician}, ErrHolder},
		"no shelf":           {fresh, Assignment{TechnicianID: "T1", WarehouseID: "W1"}, day, Holders{Technician: h.Technician}, ErrHolder},
		"a shelf too many":   {fresh, Assignment{TechnicianID: "T1"}, day, h, ErrHolder},
		"part of no shelf":   {fresh, Assignment{TechnicianID: "T1", Reserved: []Reserved{{WarehouseID: "W1", PartKind: "idler", Quantity: 1}}}, day, Holders{Technician: h.Technician}, ErrHolder},
		"no stop":            {fresh, Assignment{TechnicianID: "T1"}, nil, Holders{Technician: h.Technician}, ErrHolder},
		"done already":       {Job{ID: "J2", State: Done}, Assignment{TechnicianID: "T1"}, day, Holders{Technician: h.Technician}, ErrWrongState},
	} {
		if _, err := Assign(c.j, c.a, c.day, c.h, now); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", what, err, c.want)
		}
	}
}

func TestBeginAndComplete(t *testing.T) {
	j, h := life(t)
	if _, err := Complete(j, Result{Fixed: true}, h, now); !errors.Is(err, ErrWrongState) {
		t.Errorf("completing before beginning: %v", err)
	}
	c, err := Begin(j, Holders{Technician: h.Technician}, now)
	if err != nil {
		t.Fatal(err)
	}
	begun, e := c.Jobs[0].Value, c.Technicians[0].Value
	if begun.State != UnderWay || begun.Visits != 1 || e.Day[0].JobID != "J1" || !e.Day[0].Started || len(e.Day) != 2 {
		t.Errorf("begun: %v, visit %d, day %v", begun, begun.Visits, e.Day)
	}
	if _, err := Begin(begun, h, now); !errors.Is(err, ErrWrongState) {
		t.Errorf("beginning twice: %v", err)
	}
	if _, err := Begin(j, Holders{Technician: &fleet.Technician{ID: "T2"}}, now); !errors.Is(err, ErrHolder) {
		t.Errorf("begun by another: %v", err)
	}
	h.Technician = &e
	later := now.Add(time.Hour)

	// One of two idlers is used, and no belt: the belt is free again, the spare
	// idler is on the van, the shelf has two fewer.
	r := Result{Fixed: true, Fault: "idler_seized", Used: []Used{{PartKind: "idler", Mark: "22 mm", Quantity: 1}}}
	if c, err = Complete(begun, r, h, later); err != nil {
		t.Fatal(err)
	}
	done, van, shelf := c.Jobs[0].Value, c.Technicians[0].Value, c.Warehouses[0].Value
	if done.State != Done || done.Result.Fault != "idler_seized" || !done.Result.At.Equal(later) || done.Assignment == nil {
		t.Errorf("done: %v with %+v", done, done.Result)
	}
	want := fleet.Stock{{PartKind: "belt", Mark: "1930 mm", Quantity: 2, Reservations: []fleet.Reservation{}}, {PartKind: "idler", Mark: "22 mm", Quantity: 1, Reservations: []fleet.Reservation{}}}
	if d := cmp.Diff(want, van.Stock); d != "" {
		t.Errorf("van (-want +got):\n%s", d)
	}
	if shelf.Stock[0].Quantity != 1 || shelf.Stock[0].Free() != 1 || len(van.Day) != 1 || !van.FreeAt.Equal(later) {
		t.Errorf("shelf %v, day %v, free at %v", shelf.Stock, van.Day, van.FreeAt)
	}

	// Not fixed: another visit, the result kept.
	if c, err = Complete(begun, Result{}, h, later); err != nil {
		t.Fatal(err)
	}
	if got := c.Jobs[0].Value; got.State != Waiting || got.Assignment != nil || got.Result == nil || got.Visits != 1 {
		t.Errorf("not fixed: %v, %+v", got, got.Result)
	}
	// More used than van and shelf have for the job.
	r.Used[0].Quantity = 3
	if _, err = Complete(begun, r, h, later); !errors.Is(err, fleet.ErrNotEnough) {
		t.Errorf("3 used of 2: %v", err)
	}
	// Settled on the phone.
	if c, err = Complete(Job{ID: "J2", State: Waiting}, Result{Fixed: true}, Holders{}, now); err != nil || c.Jobs[0].Value.State != Done {
		t.Errorf("settled on the phone: %v", err)
	}
	if _, err = Complete(Job{ID: "J2", State: Waiting}, Result{}, Holders{}, now); !errors.Is(err, ErrWrongState) {
		t.Errorf("not settled, no visit: %v", err)
	}
}

func TestCancelAndRelease(t *testing.T) {
	for to, do := range map[State]func(Job, Holders, time.Time) (Change, error){Cancelled: Cancel, Waiting: Release} {
		j, h := life(t)
		c, err := do(j, h, now)
		if err != nil {
			t.Fatal(err)
		}
		e, w := c.Technicians[0].Value, c.Warehouses[0].Value
		if got := c.Jobs[0].Value; got.State != to || got.Assignment != nil {
			t.Errorf("job is %v with %v", got, got.Assignment)
		}
		if e.Stock[0].Free() != 2 || w.Stock[0].Free() != 3 || len(e.Day) != 1 || e.Day[0].JobID != "J0" {
			t.Errorf("%s: van %v, shelf %v, day %v", to, e.Stock, w.Stock, e.Day)
		}
		if _, err := do(j, Holders{}, now); !errors.Is(err, ErrHolder) {
			t.Errorf("%s without records: %v", to, err)
		}
	}
	c, err := Cancel(Job{ID: "J1", State: Waiting, Version: 3}, Holders{}, now)
	if err != nil || len(c.Technicians) != 0 || c.Jobs[0].Expect != 3 {
		t.Errorf("cancelling a waiting job: %+v, %v", c, err)
	}
	if _, err := Cancel(Job{ID: "J1", State: Done}, Holders{}, now); !errors.Is(err, ErrWrongState) {
		t.Errorf("cancelling a done job: %v", err)
	}
}

func TestChange_ValidateAcceptsRegionOnly(t *testing.T) {
	c := Change{Jobs: []Write[Job]{{Value: Job{ID: "J1", Region: "north"}}}, RequestID: "r", RequestJobID: "J1"}
	if err := c.Validate("north"); err != nil {
		t.Error(err)
	}
	if err := c.Validate("south"); !errors.Is(err, ErrBadName) {
		t.Errorf("of another region: %v", err)
	}
	var d *DuplicateRequest
	if err := fmt.Errorf("x: %w", &DuplicateRequest{JobID: "J1"}); !errors.Is(err, ErrDuplicateRequest) || !errors.As(err, &d) {
		t.Error("a duplicate is not found by errors.Is and errors.As")
	}
	if d := cmp.Diff(States(), []State{Created, Waiting, Assigned, UnderWay, Done, Cancelled}); d != "" {
		t.Error(d)
	}
}
