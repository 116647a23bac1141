package storetest

import (
	"fmt"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

// Region is the region the suite works in.
const Region = "north"

var noon = time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC)

// FullJob is a job with every field set, so that a field a store loses shows.
func FullJob(id string) job.Job {
	return job.Job{
		ID: id, Region: Region, Place: travel.Place{Lat: 10.5, Lng: -20.25},
		Address: "the blue house", Customer: "ref-17", Words: "es brummt nur, dreht nicht – „hums“",
		Family: "tumble_dryer", Variant: "vented",
		Window:   fleet.Window{Start: noon, End: noon.Add(2 * time.Hour)},
		Priority: job.Urgent, WaitUntil: noon.Add(30 * time.Hour),
		Requirement: job.Requirement{
			Certain: true,
			Parts:   []job.Need{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: 1, Probability: 1}},
			Outcomes: []job.Outcome{{Fault: "capacitor_weak", Probability: 0.75, Duration: 40 * time.Minute,
				Parts: []job.Need{{PartKind: "run_capacitor", Quantity: 1, Probability: 1}}}},
			Skills: []string{"electrical"}, Tools: []string{"multimeter"}, Duration: 45 * time.Minute,
		},
		Case:  []byte{0, 1, 2, 255},
		State: job.Waiting, Action: job.ActionOrderPart, Because: []string{"none left"}, NeedsPerson: true, Advice: "leave it off",
		Assignment: &job.Assignment{
			TechnicianID: "T1", WarehouseID: "W1", Arrive: noon, Start: noon, Finish: noon.Add(time.Hour),
			Drive: 12 * time.Minute, Kilometres: 7.25,
			Reserved: []job.Reserved{{WarehouseID: "W1", PartKind: "run_capacitor", Mark: "8 µF 500 V", Quantity: 1, For: "8 µF 450 V"}},
			Cost:     job.Cost{Travel: 1, Wait: 2, Delay: 3, Return: 4}, Chance: 0.95,
		},
		Candidates: []job.Candidate{{TechnicianID: "T1", Reason: "chosen", Text: "near", Cost: 10, Chance: 0.9, Kilometres: 7.25, Arrive: noon}},
		Degraded:   []string{"parts"}, Visits: 2,
		Result:    &job.Result{Fixed: true, Fault: "capacitor_weak", Used: []job.Used{{PartKind: "run_capacitor", Mark: "8 µF 500 V", Quantity: 1}}, At: noon},
		RequestID: "req-1", Fingerprint: "abc", CreatedAt: noon.Add(-time.Hour), UpdatedAt: noon,
	}
}

// PlainJob is a job for one part, created.
func PlainJob(id string) job.Job {
	return job.Job{
		ID: id, Region: Region, Priority: job.Normal, State: job.Created, CreatedAt: noon,
		Requirement: job.Requirement{
			Certain: true, Duration: 20 * time.Minute, Skills: []string{"electrical"},
			Parts: []job.Need{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: 1, Probability: 1}},
		},
	}
}

// FullTechnician is a technician with every field set.
func FullTechnician(id string) fleet.Technician {
	base := travel.Place{Lat: 1, Lng: 2}
	return fleet.Technician{
		ID: id, Region: Region, Label: "van 1",
		Skills: []fleet.Skill{{Code: "electrical"}, {Code: "gas", Until: noon.Add(900 * time.Hour)}},
		Tools:  []string{"multimeter"},
		Shifts: []fleet.Window{{Start: noon, End: noon.Add(8 * time.Hour)}}, Breaks: []fleet.Window{{Start: noon.Add(time.Hour), End: noon.Add(90 * time.Minute)}},
		FreeAt: noon.Add(time.Minute), Position: &fleet.Position{Place: travel.Place{Lat: 3, Lng: 4}, At: noon}, Base: &base,
		Stock: fleet.Stock{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: 3, Reservations: []fleet.Reservation{{JobID: "J1", Quantity: 1}}}},
		Day: []fleet.Stop{{
			JobID: "J1", Place: travel.Place{Lat: 5, Lng: 6}, Window: fleet.Window{Start: noon, End: noon.Add(time.Hour)}, Duration: time.Hour,
			Arrive: noon, Start: noon, Finish: noon.Add(time.Hour), Urgent: true, Started: true,
			Via: &fleet.Via{WarehouseID: "W1", Place: travel.Place{Lat: 7, Lng: 8}, Open: []fleet.Window{{Start: noon, End: noon.Add(time.Hour)}}, Pick: 10 * time.Minute},
		}},
		Adjusted:  []string{"adjust-1"},
		UpdatedAt: noon,
	}
}

// van is a technician with n parts and a week of work ahead.
func van(id string, n int) fleet.Technician {
	return fleet.Technician{
		ID: id, Region: Region, Skills: []fleet.Skill{{Code: "electrical"}},
		Shifts:   []fleet.Window{{Start: noon, End: noon.Add(7 * 24 * time.Hour)}},
		Position: &fleet.Position{Place: travel.Place{Lat: 0.01, Lng: 0.01}, At: noon},
		Stock:    fleet.Stock{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: n}},
	}
}

// FullWarehouse is a warehouse with every field set.
func FullWarehouse(id string) fleet.Warehouse {
	return fleet.Warehouse{
		ID: id, Region: Region, Label: "by the quay", Place: travel.Place{Lat: 9, Lng: 10},
		Open: []fleet.Window{{Start: noon, End: noon.Add(6 * time.Hour)}}, Pick: 15 * time.Minute,
		Stock:     fleet.Stock{{PartKind: "drive_belt", Mark: "1930 mm", Quantity: 4, Reservations: []fleet.Reservation{{JobID: "J1", Quantity: 1}}}},
		Adjusted:  []string{"adjust-2"},
		UpdatedAt: noon,
	}
}

func putJobs(js ...job.Job) (c job.Change) {
	for _, j := range js {
		c.Jobs = append(c.Jobs, job.Write[job.Job]{Value: j, Expect: j.Version})
	}
	return c
}

func putTechnicians(ts ...fleet.Technician) (c job.Change) {
	for _, t := range ts {
		c.Technicians = append(c.Technicians, job.Write[fleet.Technician]{Value: t, Expect: t.Version})
	}
	return c
}

func putWarehouses(ws ...fleet.Warehouse) (c job.Change) {
	for _, w := range ws {
		c.Warehouses = append(c.Warehouses, job.Write[fleet.Warehouse]{Value: w, Expect: w.Version})
	}
	return c
}

func both(a, b job.Change) job.Change {
	a.Jobs = append(a.Jobs, b.Jobs...)
	a.Technicians = append(a.Technicians, b.Technicians...)
	a.Warehouses = append(a.Warehouses, b.Warehouses...)
	return a
}

func numbered(prefix string, i int) string { return fmt.Sprintf("%s%d", prefix, i) }
