package offer

import (
	"fmt"
	"math"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

var eight = time.Date(2031, 5, 6, 8, 0, 0, 0, time.UTC)

func at(minutes int) time.Time { return eight.Add(time.Duration(minutes) * time.Minute) }

func window(from, to int) fleet.Window { return fleet.Window{Start: at(from), End: at(to)} }

// km puts places on a line through the customer's house, which is at 0.
func km(x float64) travel.Place { return travel.Place{Lng: x / (travel.EarthKm * math.Pi / 180)} }

// one minute a kilometre keeps the numbers in the head.
var plainRoads = travel.Model{RoadFactor: 1, MinutesPerKm: 1}

// line is a stock line: kind, mark, how many, how many of them promised.
func line(kind, mark string, quantity, promised int) fleet.Line {
	l := fleet.Line{PartKind: kind, Mark: mark, Quantity: quantity}
	if promised > 0 {
		l.Reservations = []fleet.Reservation{{JobID: "other", Quantity: promised}}
	}
	return l
}

// van is an electrician x kilometres away, on shift from eight to four.
func van(id string, x float64, lines ...fleet.Line) fleet.Technician {
	return fleet.Technician{
		ID: id, Region: "north", Skills: []fleet.Skill{{Code: "electrical"}}, Tools: []string{"multimeter"},
		Shifts: []fleet.Window{window(0, 480)}, Position: &fleet.Position{Place: km(x), At: eight}, Stock: lines,
	}
}

func shelfAt(x float64, lines ...fleet.Line) fleet.Warehouse {
	return fleet.Warehouse{ID: "W1", Region: "north", Place: km(x), Pick: 10 * time.Minute, Open: []fleet.Window{window(-60, 600)}, Stock: lines}
}

func need(kind, mark string) job.Need {
	return job.Need{PartKind: kind, Mark: mark, Quantity: 1, Probability: 1}
}

// sure is a job at 0 whose parts somebody named.
func sure(needs ...job.Need) job.Job {
	return job.Job{
		ID: "J1", Region: "north", Priority: job.Normal, State: job.Created,
		Requirement: job.Requirement{Certain: true, Parts: needs, Skills: []string{"electrical"}, Tools: []string{"multimeter"}, Duration: 30 * time.Minute},
	}
}

// likely is a job at 0 as triage gives it.
func likely(parts []job.Need, outcomes ...job.Outcome) job.Job {
	j := sure(parts...)
	j.Requirement.Certain, j.Requirement.Outcomes = false, outcomes
	return j
}

func ask(j job.Job, vans ...fleet.Technician) Request {
	return Request{Job: j, Technicians: vans, Travel: plainRoads, Costs: DefaultCosts(), Now: eight}
}

// volts lets "5 x 300" be served by "5 x 300" and more: the first number must
// agree, the second may be higher. It stands in for the part rules.
type volts struct{}

func (volts) Verdict(p Pair) Verdict {
	var a, b, x, y int
	if n, _ := fmt.Sscanf(p.Need, "%d x %d", &a, &x); n != 2 {
		return Unknown
	}
	if n, _ := fmt.Sscanf(p.Stock, "%d x %d", &b, &y); n != 2 {
		return Unknown
	}
	if a == b && y >= x {
		return Serves
	}
	return DoesNot
}
