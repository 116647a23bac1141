package offer_test

import (
	"fmt"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	"onevisit/dispatch/travel"
)

func ExampleChoose() {
	now := time.Date(2031, 5, 6, 9, 0, 0, 0, time.UTC)
	van := func(id string, lat float64, mark string) fleet.Technician {
		return fleet.Technician{
			ID: id, Skills: []fleet.Skill{{Code: "electrical"}}, Tools: []string{"multimeter"},
			Shifts:   []fleet.Window{{Start: now, End: now.Add(7 * time.Hour)}},
			Position: &fleet.Position{Place: travel.Place{Lat: lat}},
			Stock:    fleet.Stock{{PartKind: "run_capacitor", Mark: mark, Quantity: 1}},
		}
	}
	r := offer.Request{
		Job: job.Job{ID: "J1", State: job.Created, Priority: job.Normal, Requirement: job.Requirement{
			Certain: true, Skills: []string{"electrical"}, Tools: []string{"multimeter"}, Duration: 45 * time.Minute,
			Parts: []job.Need{{PartKind: "run_capacitor", Mark: "8 µF 425 V", Quantity: 1, Probability: 1}},
		}},
		Technicians: []fleet.Technician{van("T1", 0.01, "10 µF 450 V"), van("T2", 0.05, "8 µF 450 V")},
		// What the part rules answered to offer.Pairs(r).
		Fits: offer.Table{
			{PartKind: "run_capacitor", Need: "8 µF 425 V", Stock: "10 µF 450 V"}: offer.DoesNot,
			{PartKind: "run_capacitor", Need: "8 µF 425 V", Stock: "8 µF 450 V"}:  offer.Serves,
		},
		Travel: travel.Default(), Costs: offer.DefaultCosts(), Now: now,
	}
	d, err := offer.Choose(r)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range d.Because {
		fmt.Println(line)
	}
	// Output:
	// T2 goes: adds 7.5 km, arrives 09:15, finishes 10:00.
	// T1: carries the part with a rating that must not replace run_capacitor 8 µF 425 V (1.5 km away).
}
