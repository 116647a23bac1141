package offer

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

// The figures in this file are invented; the rules they show are common
// practice, no source.
func TestChoose(t *testing.T) {
	gas := func(e fleet.Technician, until ...time.Time) fleet.Technician {
		s := fleet.Skill{Code: "gas"}
		if len(until) > 0 {
			s.Until = until[0]
		}
		e.Skills = append(e.Skills, s)
		return e
	}
	gasJob := func(needs ...job.Need) job.Job {
		j := sure(needs...)
		j.Requirement.Skills = []string{"gas"}
		return j
	}
	urgent := func(j job.Job) job.Job { j.Priority = job.Urgent; return j }
	busy := func(e fleet.Technician, until int) fleet.Technician { e.FreeAt = at(until); return e }
	shift := func(e fleet.Technician, ws ...fleet.Window) fleet.Technician { e.Shifts = ws; return e }
	windowed := func(j job.Job, from, to int) job.Job { j.Window = window(from, to); return j }
	open := func(needs ...job.Need) []job.Job {
		j := urgent(sure(needs...))
		j.ID = "U1"
		return []job.Job{j}
	}
	belt, cap5 := need("belt", "1930 mm"), need("cap", "5 x 300")
	hasBelt := line("belt", "1930 mm", 1, 0)

	for _, c := range []struct {
		name    string
		r       Request
		action  job.Action
		who     string // technician
		via     string // warehouse
		reasons string // "T1 code, T2 code" in the order of the candidates
		person  bool
	}{
		{name: "equal vans: the nearest", r: ask(sure(belt), van("T1", 9, hasBelt), van("T2", 3, hasBelt)),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 farther"},
		{name: "the nearest lacks the part", r: ask(sure(belt), van("T1", 9, hasBelt), van("T2", 3)),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 part_missing"},
		{name: "a line at zero is no part", r: ask(sure(belt), van("T1", 9, hasBelt), van("T2", 3, line("belt", "1930 mm", 0, 0))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 part_missing"},
		{name: "promised parts do not count", r: ask(sure(belt), van("T1", 9, hasBelt), van("T2", 3, line("belt", "1930 mm", 2, 2))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 part_reserved"},
		{name: "one promised, one free", r: ask(sure(belt), van("T1", 9, hasBelt), van("T2", 3, line("belt", "1930 mm", 2, 1))),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 farther"},
		{name: "higher serves, lower does not, another does not", r: ask(sure(cap5), van("T1", 9, line("cap", "5 x 400", 1, 0)), van("T2", 3, line("cap", "5 x 200", 1, 0)), van("T3", 2, line("cap", "6 x 300", 1, 0))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T3 rating_mismatch, T2 rating_mismatch"},
		{name: "what nobody can tell is not fitted", r: ask(sure(cap5), van("T1", 9, line("cap", "5 x 300", 1, 0)), van("T2", 3, line("cap", "smudged", 1, 0))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 rating_unknown"},
		{name: "blanks and the look-alike micro sign do not matter", r: ask(sure(need("cap", "8 \u00b5F 450 V")), van("T1", 3, line("cap", "8\u03bcF 450V", 1, 0))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "milli is not mega", r: ask(sure(need("res", "5 mW")), van("T1", 3, line("res", "5 MW", 1, 0))),
			action: job.ActionOrderPart, reasons: "T1 rating_unknown"},
		{name: "no mark asked for", r: ask(sure(need("belt", "")), van("T1", 3, hasBelt)),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "no mark on the line", r: ask(sure(belt), van("T1", 3, line("belt", "", 1, 0))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "all of several parts", r: ask(sure(belt, need("idler", "22 mm")), van("T1", 9, hasBelt, line("idler", "22 mm", 1, 0)), van("T2", 3, hasBelt), van("T3", 4, hasBelt, line("idler", "28 mm", 1, 0))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 part_missing, T3 rating_unknown"},
		{name: "two of one part", r: ask(sure(job.Need{PartKind: "belt", Quantity: 2, Probability: 1}), van("T1", 9, line("belt", "a", 1, 0), line("belt", "b", 1, 0)), van("T2", 3, hasBelt)),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 part_missing"},
		{name: "skill and part together", r: ask(gasJob(belt), gas(van("T1", 20, hasBelt)), gas(van("T2", 5)), van("T3", 1, hasBelt)),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T3 skill_missing, T2 part_missing"},
		{name: "skill before tool before part", r: ask(gasJob(belt), gas(van("T1", 20, hasBelt)), func() fleet.Technician { e := van("T2", 5); e.Tools = nil; return e }(), func() fleet.Technician { e := gas(van("T3", 6)); e.Tools = nil; return e }()),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 skill_missing, T3 tool_missing"},
		{name: "licence expired", r: ask(gasJob(belt), gas(van("T1", 20, hasBelt)), gas(van("T2", 5, hasBelt), at(-1))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 skill_missing"},
		{name: "licence expires during the visit", r: ask(gasJob(belt), gas(van("T1", 20, hasBelt)), gas(van("T2", 5, hasBelt), at(34))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 skill_missing"},
		{name: "busy, but it is the same day", r: ask(sure(belt), busy(van("T1", 3, hasBelt), 180), van("T2", 9, hasBelt)),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 farther"},
		{name: "urgent does not wait three hours", r: ask(urgent(sure(belt)), busy(van("T1", 3, hasBelt), 180), van("T2", 9, hasBelt)),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 costlier"},
		{name: "urgent waits a quarter of an hour", r: ask(urgent(sure(belt)), busy(van("T1", 3, hasBelt), 15), van("T2", 15, hasBelt)),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 farther"},
		{name: "the window rules out the nearest", r: ask(windowed(sure(belt), 60, 120), busy(van("T1", 3, hasBelt), 180), van("T2", 9, hasBelt)),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 window_missed"},
		{name: "the shift rules out the nearest", r: ask(sure(belt), shift(van("T1", 3, hasBelt), window(0, 32)), van("T2", 9, hasBelt)),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 shift_too_short"},
		{name: "gone home", r: ask(sure(belt), shift(van("T1", 3, hasBelt), window(-400, 0)), van("T2", 9, hasBelt)),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 off_shift"},
		{name: "today rather than near tomorrow", r: ask(sure(belt), shift(van("T1", 1, hasBelt), window(1440, 1900)), van("T2", 12, hasBelt)),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 costlier"},
		{name: "tomorrow if nobody today", r: ask(sure(belt), shift(van("T1", 1, hasBelt), window(1440, 1900))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "tomorrow is too late", r: ask(func() job.Job { j := sure(belt); j.WaitUntil = at(900); return j }(), shift(van("T1", 1, hasBelt), window(1440, 1900))),
			action: job.ActionBookLater, reasons: "T1 window_missed"},
		{name: "from the warehouse when no van has it", r: func() Request {
			r := ask(sure(belt), van("T1", 9), van("T2", 20))
			r.Warehouses = []fleet.Warehouse{shelfAt(22, hasBelt)}
			return r
		}(), action: job.ActionAssign, who: "T2", via: "W1", reasons: "T2 chosen, T1 farther"},
		{name: "a van before the warehouse, even a far one", r: func() Request {
			r := ask(sure(belt), van("T1", 5), van("T2", 60, hasBelt))
			r.Warehouses = []fleet.Warehouse{shelfAt(4, hasBelt)}
			return r
		}(), action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 part_missing"},
		{name: "half from the van, half from the shelf", r: func() Request {
			r := ask(sure(belt, need("idler", "22 mm")), van("T1", 5, line("idler", "22 mm", 1, 0)), van("T2", 4))
			r.Warehouses = []fleet.Warehouse{shelfAt(6, hasBelt)}
			return r
		}(), action: job.ActionAssign, who: "T1", via: "W1", reasons: "T1 chosen, T2 part_missing"},
		{name: "the shelf's promised parts do not count", r: func() Request {
			r := ask(sure(belt), van("T1", 5))
			r.Warehouses = []fleet.Warehouse{shelfAt(4, line("belt", "1930 mm", 1, 1))}
			return r
		}(), action: job.ActionOrderPart, reasons: "T1 part_missing"},
		{name: "the warehouse is shut in time", r: func() Request {
			r := ask(sure(belt), van("T1", 5))
			w := shelfAt(4, hasBelt)
			w.Open = []fleet.Window{window(-60, 10)}
			r.Warehouses = []fleet.Warehouse{w}
			return r
		}(), action: job.ActionBookLater, reasons: "T1 warehouse_closed"},
		{name: "an open urgent job keeps the last part", r: func() Request {
			r := ask(sure(belt), van("T1", 5, hasBelt))
			r.OpenUrgent = open(belt)
			return r
		}(), action: job.ActionOrderPart, reasons: "T1 part_reserved"},
		{name: "there is one for each", r: func() Request {
			r := ask(sure(belt), van("T1", 5, hasBelt), van("T2", 30, hasBelt))
			r.OpenUrgent = open(belt)
			return r
		}(), action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 farther"},
		{name: "what serves only the normal job may go", r: func() Request {
			// Any serves the normal job and it would take the first line, but only that
			// one serves the urgent job.
			r := ask(sure(need("cap", "")), van("T1", 5, line("cap", "5 x 400", 1, 0), line("cap", "5 x 300", 1, 0)))
			r.OpenUrgent = open(need("cap", "5 x 400"))
			return r
		}(), action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "one may go, two together may not", r: func() Request {
			two := job.Need{PartKind: "belt", Mark: "1930 mm", Quantity: 2, Probability: 1}
			r := ask(sure(two), van("T1", 5, line("belt", "1930 mm", 3, 0)))
			r.OpenUrgent = open(two)
			return r
		}(), action: job.ActionOrderPart, reasons: "T1 part_reserved"},
		{name: "of two licences the one that runs out first counts", r: func() Request {
			e := gas(van("T1", 5, hasBelt), at(34))
			e.Skills = append(e.Skills, fleet.Skill{Code: "hv", Until: at(400)})
			f := gas(van("T2", 20, hasBelt), at(400))
			f.Skills = append(f.Skills, fleet.Skill{Code: "hv", Until: at(400)})
			j := gasJob(belt)
			j.Requirement.Skills = []string{"gas", "hv"}
			return ask(j, e, f)
		}(), action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 skill_missing"},
		{name: "of two equal warehouses the first by id", r: func() Request {
			r := ask(sure(belt), van("T1", 5))
			a, b := shelfAt(4, hasBelt), shelfAt(4, hasBelt)
			a.ID, b.ID = "W2", "W1"
			r.Warehouses = []fleet.Warehouse{a, b}
			return r
		}(), action: job.ActionAssign, who: "T1", via: "W1", reasons: "T1 chosen"},
		{name: "urgent does not stand back for urgent", r: func() Request {
			r := ask(urgent(sure(belt)), van("T1", 5, hasBelt))
			r.OpenUrgent = open(belt)
			return r
		}(), action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "an urgent visit is not pushed back", r: func() Request {
			e := van("T1", 5, hasBelt)
			e.Shifts = []fleet.Window{window(0, 120)}
			e.Day = []fleet.Stop{{JobID: "U", Place: km(30), Duration: time.Hour, Urgent: true}}
			return ask(sure(belt), e)
		}(), action: job.ActionBookLater, reasons: "T1 shift_too_short"},
		{name: "nobody in the time asked for", r: ask(windowed(sure(belt), 60, 120), busy(van("T1", 3, hasBelt), 180)),
			action: job.ActionBookLater, reasons: "T1 window_missed"},
		{name: "urgent and nobody in time", r: ask(urgent(windowed(sure(belt), 60, 120)), busy(van("T1", 3, hasBelt), 180)),
			action: job.ActionBookLater, reasons: "T1 window_missed", person: true},
		{name: "the part is nowhere", r: ask(sure(belt), van("T1", 3)), action: job.ActionOrderPart, reasons: "T1 part_missing"},
		{name: "urgent and the part is nowhere", r: ask(urgent(sure(belt)), van("T1", 3)), action: job.ActionOrderPart, reasons: "T1 part_missing", person: true},
		{name: "only the unlicensed have it", r: ask(gasJob(belt), gas(van("T1", 5)), van("T2", 3, hasBelt)),
			action: job.ActionOrderPart, reasons: "T2 skill_missing, T1 part_missing"},
		{name: "nobody holds the licence", r: ask(gasJob(belt), van("T1", 3, hasBelt), van("T2", 2, hasBelt)),
			action: job.ActionEscalate, reasons: "T2 skill_missing, T1 skill_missing", person: true},
		{name: "nobody at all", r: ask(sure(belt)), action: job.ActionEscalate, reasons: "", person: true},
		{name: "the phone settles it", r: func() Request {
			r := ask(sure(), van("T1", 3), van("T2", 2))
			r.PhoneFix = "hold the key for some seconds"
			return r
		}(), action: job.ActionPhoneFix, reasons: "T2 visit_not_needed, T1 visit_not_needed"},
		{name: "advice does not replace a part", r: func() Request {
			r := ask(sure(belt), van("T1", 3, hasBelt))
			r.PhoneFix = "hold the key for some seconds"
			return r
		}(), action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "no part, no advice: a visit", r: ask(sure(), van("T1", 3)), action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "nowhere known", r: func() Request {
			e := van("T1", 0, hasBelt)
			e.Position = nil
			return ask(sure(belt), e, van("T2", 40, hasBelt))
		}(), action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 position_unknown"},
		{name: "likely parts: the fuller van is worth the road", r: ask(
			likely([]job.Need{need("belt", ""), need("idler", "")}, job.Outcome{Probability: 0.5, Parts: []job.Need{need("belt", "")}}, job.Outcome{Probability: 0.4, Parts: []job.Need{need("idler", "")}}),
			van("T1", 2, hasBelt), van("T2", 10, hasBelt, line("idler", "22 mm", 1, 0))),
			action: job.ActionAssign, who: "T2", reasons: "T2 chosen, T1 costlier"},
		{name: "likely parts: but not any road", r: ask(
			likely([]job.Need{need("belt", ""), need("idler", "")}, job.Outcome{Probability: 0.8, Parts: []job.Need{need("belt", "")}}, job.Outcome{Probability: 0.1, Parts: []job.Need{need("idler", "")}}),
			van("T1", 2, hasBelt), van("T2", 30, hasBelt, line("idler", "22 mm", 1, 0))),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen, T2 farther"},
		{name: "likely parts: nobody has any, somebody looks", r: ask(
			likely([]job.Need{need("belt", "")}, job.Outcome{Probability: 0.9, Parts: []job.Need{need("belt", "")}}), van("T1", 2)),
			action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
		{name: "likely parts: the shelf is worth the detour", r: func() Request {
			r := ask(likely([]job.Need{need("belt", "")}, job.Outcome{Probability: 0.9, Parts: []job.Need{need("belt", "")}}), van("T1", 6))
			r.Warehouses = []fleet.Warehouse{shelfAt(5, hasBelt)}
			return r
		}(), action: job.ActionAssign, who: "T1", via: "W1", reasons: "T1 chosen"},
		{name: "likely parts: a rare fault is not worth the detour", r: func() Request {
			r := ask(likely([]job.Need{need("belt", "")}, job.Outcome{Probability: 0.05, Parts: []job.Need{need("belt", "")}}, job.Outcome{Probability: 0.9}), van("T1", 6))
			r.Warehouses = []fleet.Warehouse{shelfAt(30, hasBelt)}
			return r
		}(), action: job.ActionAssign, who: "T1", reasons: "T1 chosen"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.r.Fits = volts{}
			before := fmt.Sprintf("%+v", c.r)
			d, err := Choose(c.r)
			if err != nil {
				t.Fatal(err)
			}
			if fmt.Sprintf("%+v", c.r) != before {
				t.Error("the request was changed")
			}
			var got []string
			for _, k := range d.Candidates {
				got = append(got, k.TechnicianID+" "+k.Reason)
				if k.Text == "" {
					t.Errorf("%s has no text", k.TechnicianID)
				}
			}
			if d.Action != c.action || strings.Join(got, ", ") != c.reasons || d.NeedsPerson != c.person {
				t.Errorf("%s, %v, person %v; want %s, %s, %v", d.Action, got, d.NeedsPerson, c.action, c.reasons, c.person)
			}
			if len(d.Because) == 0 {
				t.Error("no reason given")
			}
			if c.action == job.ActionAssign && (d.Assignment == nil || d.Assignment.TechnicianID != c.who || d.Assignment.WarehouseID != c.via) {
				t.Errorf("assigned %+v, want %s through %q", d.Assignment, c.who, c.via)
			}
			if c.action != job.ActionAssign && c.action != job.ActionBookLater && d.Assignment != nil {
				t.Errorf("assigned %+v, want nobody", d.Assignment)
			}
			change, err := Book(d, c.r)
			if err != nil {
				t.Fatalf("Book: %v", err)
			}
			if err := change.Validate("north"); err != nil {
				t.Errorf("Book: %v", err)
			}
		})
	}
}

// The worked number of the package comment: at 2 minutes a kilometre, 35 cents
// and 45.00 an hour, 2 km cost 3.70 and 10 km 18.50.
func TestChoose_WorkedNumber(t *testing.T) {
	j := likely([]job.Need{need("belt", ""), need("idler", "")}, job.Outcome{Probability: 0.5, Parts: []job.Need{need("belt", "")}}, job.Outcome{Probability: 0.4, Parts: []job.Need{need("idler", "")}})
	r := ask(j, van("A", 2, line("belt", "", 1, 0)), van("B", 10, line("belt", "", 1, 0), line("idler", "", 1, 0)))
	r.Travel.MinutesPerKm = 2
	r.Costs.WaitPerHour = 0
	d, err := Choose(r)
	if err != nil {
		t.Fatal(err)
	}
	if d.Assignment.TechnicianID != "B" || d.Assignment.Cost != (job.Cost{Travel: 1850, Return: 900}) {
		t.Errorf("B costs %+v, want 18.50 and 9.00", d.Assignment)
	}
	if k := d.Candidates[1]; k.TechnicianID != "A" || k.Cost != 370+4500 {
		t.Errorf("A costs %+v, want 3.70 and 45.00", k)
	}
}

// A likely job takes what it may and leaves what an open urgent job needs, from
// van and shelf.
func TestChoose_LikelyLeavesUrgentParts(t *testing.T) {
	two := job.Need{PartKind: "belt", Mark: "a", Quantity: 2, Probability: 1}
	j := likely([]job.Need{two, need("idler", "")}, job.Outcome{Probability: 0.5, Parts: []job.Need{two}}, job.Outcome{Probability: 0.4, Parts: []job.Need{need("idler", "")}})
	u := sure(two)
	u.ID, u.Priority = "U1", job.Urgent
	for what, r := range map[string]Request{
		"van": ask(j, van("T1", 3, line("belt", "a", 3, 0), line("idler", "", 1, 0))),
		"shelf": func() Request {
			r := ask(j, van("T1", 3, line("belt", "a", 1, 0)))
			r.Warehouses = []fleet.Warehouse{shelfAt(2, line("belt", "a", 2, 0), line("idler", "", 1, 0))}
			return r
		}(),
	} {
		r.OpenUrgent = []job.Job{u}
		d, err := Choose(r)
		if err != nil {
			t.Fatal(err)
		}
		belts, idlers := 0, 0
		for _, p := range d.Assignment.Reserved {
			if p.PartKind == "belt" {
				belts += p.Quantity
			} else {
				idlers += p.Quantity
			}
		}
		if belts > 1 || idlers != 1 {
			t.Errorf("%s: takes %d belts of 3 with 2 held, and %d idlers", what, belts, idlers)
		}
		if a := d.Assignment; a.Chance > 0.4+1e-9 {
			t.Errorf("%s: chance %g counts belts that are held", what, a.Chance)
		}
	}
}

func TestChoose_Proposal(t *testing.T) {
	j := sure(need("belt", "1930 mm"))
	j.Window = window(60, 120)
	e := van("T1", 3, line("belt", "1930 mm", 1, 0))
	e.FreeAt = at(180)
	d, err := Choose(ask(j, e))
	if err != nil {
		t.Fatal(err)
	}
	if a := d.Assignment; d.Action != job.ActionBookLater || a == nil || a.TechnicianID != "T1" || !a.Arrive.Equal(at(183)) {
		t.Errorf("%s with %+v, want a proposal of T1 at 11:03", d.Action, a)
	}
	change, err := Book(d, ask(j, e))
	if err != nil || len(change.Technicians) != 0 || change.Jobs[0].Value.Assignment != nil || change.Jobs[0].Value.State != job.Waiting {
		t.Errorf("a proposal was booked: %+v, %v", change, err)
	}
}

func TestChoose_Refuses(t *testing.T) {
	good := ask(sure(need("belt", "")), van("T1", 3))
	for what, c := range map[string]struct {
		change func(*Request)
		want   error
	}{
		"requirement": {func(r *Request) { r.Job.Requirement.Duration = -1 }, job.ErrRequirement},
		"place":       {func(r *Request) { r.Job.Place.Lat = 91 }, travel.ErrPlace},
		"no time":     {func(r *Request) { r.Now = time.Time{} }, ErrRequest},
		"no model":    {func(r *Request) { r.Travel = travel.Model{} }, ErrRequest},
		"twice":       {func(r *Request) { r.Technicians = append(r.Technicians, r.Technicians[0]) }, ErrRequest},
	} {
		r := good
		c.change(&r)
		if _, err := Choose(r); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", what, err, c.want)
		}
	}
}

// No decision tells anything of the customer: its sentences go to logs and
// screens.
func TestChoose_TellsNothingPrivate(t *testing.T) {
	j := sure(need("belt", ""))
	j.Words, j.Address, j.Customer = "secret", "secret", "secret"
	for _, r := range []Request{ask(j, van("T1", 3, line("belt", "", 1, 0))), ask(j, van("T1", 3)), ask(j)} {
		d, err := Choose(r)
		if err != nil {
			t.Fatal(err)
		}
		if text := fmt.Sprintf("%+v", d); strings.Contains(text, "secret") {
			t.Errorf("tells: %s", text)
		}
	}
}

// Pairs must list all that Choose asks for, or a table would leave parts
// undecided.
func TestPairs_AreAllThatIsAsked(t *testing.T) {
	r := ask(sure(need("cap", "5 x 300"), need("belt", "")), van("T1", 3, line("cap", "5 x 400", 1, 0), line("cap", "", 1, 0), line("belt", "9 mm", 1, 0)), van("T2", 4, line("cap", "5x300", 1, 0)))
	r.Warehouses = []fleet.Warehouse{shelfAt(4, line("cap", "6 x 300", 2, 0))}
	u := sure(need("cap", "5 x 450"))
	u.ID, u.Priority = "U1", job.Urgent
	r.OpenUrgent = []job.Job{u}
	table := Table{}
	for _, p := range Pairs(r) {
		if _, twice := table[p]; twice {
			t.Errorf("%v is listed twice", p)
		}
		table[p] = volts{}.Verdict(p)
	}
	asked := recorder{}
	r.Fits = asked
	if _, err := Choose(r); err != nil {
		t.Fatal(err)
	}
	if len(asked) == 0 {
		t.Fatal("nothing was asked")
	}
	for p := range asked {
		if _, listed := table[p]; !listed {
			t.Errorf("%v is asked and not listed", p)
		}
	}
}

type recorder map[Pair]bool

func (a recorder) Verdict(p Pair) Verdict { a[p] = true; return volts{}.Verdict(p) }
