package offer

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

var (
	kinds = rapid.SampledFrom([]string{"cap", "belt"})
	marks = rapid.SampledFrom([]string{"", "5 x 300", "5 x 400", "6 x 300", "smudged"})
)

func drawStock(t *rapid.T) fleet.Stock {
	var s fleet.Stock
	for range rapid.IntRange(0, 4).Draw(t, "lines") {
		l := line(kinds.Draw(t, "kind"), marks.Draw(t, "mark"), rapid.IntRange(0, 3).Draw(t, "quantity"), 0)
		if p := rapid.IntRange(0, l.Quantity).Draw(t, "promised"); p > 0 {
			l.Reservations = []fleet.Reservation{{JobID: "other", Quantity: p}}
		}
		if !slices.ContainsFunc(s, func(h fleet.Line) bool { return h.PartKind == l.PartKind && h.Mark == l.Mark }) {
			s = append(s, l)
		}
	}
	return s
}

func drawNeeds(t *rapid.T, most int) []job.Need {
	var out []job.Need
	for range rapid.IntRange(0, most).Draw(t, "needs") {
		out = append(out, job.Need{PartKind: kinds.Draw(t, "kind"), Mark: marks.Draw(t, "mark"), Quantity: rapid.IntRange(1, 2).Draw(t, "quantity"), Probability: 1})
	}
	return out
}

func drawRequest(t *rapid.T) Request {
	// one draws s in so many of four cases.
	one := func(label, s string, inFour int) (out []string) {
		if rapid.IntRange(1, 4).Draw(t, label) <= inFour {
			out = append(out, s)
		}
		return out
	}
	place := func() travel.Place {
		return travel.Place{Lat: rapid.Float64Range(-0.3, 0.3).Draw(t, "lat"), Lng: rapid.Float64Range(-0.3, 0.3).Draw(t, "lng")}
	}
	j := sure(drawNeeds(t, 3)...)
	j.Place = place()
	j.Requirement.Skills, j.Requirement.Tools = one("skill", "gas", 1), one("tool", "meter", 1)
	j.Requirement.Certain = rapid.IntRange(0, 3).Draw(t, "sure") > 0
	if !j.Requirement.Certain {
		left := 1.0
		for range rapid.IntRange(1, 3).Draw(t, "outcomes") {
			p := rapid.Float64Range(0, left).Draw(t, "p")
			left -= p
			j.Requirement.Outcomes = append(j.Requirement.Outcomes, job.Outcome{Probability: p, Parts: drawNeeds(t, 2)})
		}
	}
	if rapid.Bool().Draw(t, "urgent") {
		j.Priority = job.Urgent
	}
	if rapid.Bool().Draw(t, "windowed") {
		from := rapid.IntRange(-60, 300).Draw(t, "from")
		j.Window = window(from, from+rapid.IntRange(0, 200).Draw(t, "long"))
	}
	r := ask(j)
	r.Fits, r.Travel = volts{}, travel.Model{RoadFactor: 1.2, MinutesPerKm: 1.7}
	for i := range rapid.IntRange(0, 4).Draw(t, "vans") {
		e := van(string(rune('A'+i)), 0, drawStock(t)...)
		e.Position = &fleet.Position{Place: place()}
		for _, s := range one("held", "gas", 3) {
			e.Skills = append(e.Skills, fleet.Skill{Code: s})
		}
		e.Tools = one("carried", "meter", 3)
		e.FreeAt = at(rapid.IntRange(0, 200).Draw(t, "free"))
		e.Shifts = []fleet.Window{window(0, rapid.IntRange(30, 400).Draw(t, "shift"))}
		r.Technicians = append(r.Technicians, e)
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "warehouses") {
		w := shelfAt(0, drawStock(t)...)
		w.ID, w.Place = string(rune('W'+i)), place()
		w.Open = []fleet.Window{window(rapid.IntRange(-60, 60).Draw(t, "opens"), rapid.IntRange(60, 300).Draw(t, "closes"))}
		r.Warehouses = append(r.Warehouses, w)
	}
	if rapid.Bool().Draw(t, "open urgent") {
		u := sure(drawNeeds(t, 2)...)
		u.ID, u.Priority = "U1", job.Urgent
		r.OpenUrgent = []job.Job{u}
	}
	return r
}

func TestAllocate_AgainstTryingAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		needs, vanStock, shelfStock := drawNeeds(t, 4), drawStock(t), drawStock(t)
		wanted := map[string]bool{"cap": true, "belt": true}
		vanShelves := shelves(vanStock, "", wanted)
		all := append(slices.Clone(vanShelves), shelves(shelfStock, "W", wanted)...)
		takes, short := newMatcher(volts{}).allocate(needs, all, len(vanShelves), len(all))

		taken, per, fromVan := 0, make([]int, len(needs)), 0
		left := make([]int, len(all))
		for i, s := range all {
			left[i] = s.free
		}
		for _, k := range takes {
			if !serves(needs[k.need], all[k.shelf].partKind, all[k.shelf].mark) {
				t.Fatalf("%+v serves %+v", all[k.shelf], needs[k.need])
			}
			left[k.shelf] -= k.quantity
			taken += k.quantity
			per[k.need] += k.quantity
			if all[k.shelf].warehouseID == "" {
				fromVan += k.quantity
			}
		}
		for i, n := range needs {
			if per[i]+short[i] != n.Quantity {
				t.Fatalf("need %d: %d given, %d short of %d", i, per[i], short[i], n.Quantity)
			}
		}
		for i, n := range left {
			if n < 0 {
				t.Fatalf("shelf %d gave %d more than it has", i, -n)
			}
		}
		v := freeUnits(vanStock, "")
		if want := most(needs, append(v, freeUnits(shelfStock, "W")...)); taken != want {
			t.Fatalf("%d parts given, %d could be", taken, want)
		}
		// Whatever the van alone could serve is not made worse by the shelf.
		if fromVan > most(needs, v) {
			t.Fatalf("%d from the van, which could give %d", fromVan, most(needs, v))
		}
		// Earlier needs first: the first need gets all it could alone.
		if len(needs) > 0 {
			if want := most(needs[:1], append(v, freeUnits(shelfStock, "W")...)); per[0] != want {
				t.Fatalf("first need got %d of %d", per[0], want)
			}
		}
	})
}

func TestChoose_AgainstLookingAtEverything(t *testing.T) {
	seen := map[job.Action]int{}
	via := 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawRequest(t)
		if !r.Job.Requirement.Certain {
			r.Job.Requirement.Certain, r.Job.Requirement.Outcomes = true, nil
		}
		d, err := Choose(r)
		if err != nil {
			t.Fatal(err)
		}
		action, options := slowChoose(r)
		// Choose first takes away lines no part of which may go, then gives parts
		// out; the slow search tries every way. With joint claims of several needs
		// on what urgent jobs want Choose may refuse what the slow search finds. It
		// must never do the opposite.
		if held := newHold(newMatcher(volts{}), r); held != nil && count(r.Job.Requirement.Parts) > 1 && d.Action != action {
			if d.Action == job.ActionAssign && action != job.ActionAssign {
				t.Fatalf("Choose assigns %s, the slow search says %s", d.Assignment.TechnicianID, action)
			}
			return
		}
		if d.Action != action {
			t.Fatalf("Choose says %s, the slow search %s", d.Action, action)
		}
		seen[action]++
		if action != job.ActionAssign {
			return
		}
		if d.Assignment.WarehouseID != "" {
			via++
		}
		best := slices.MinFunc(options, func(a, b slowOption) int { return int(a.cost - b.cost) })
		if got := int64(d.Assignment.Cost.Total()); got != best.cost && (newHold(newMatcher(volts{}), r) == nil || count(r.Job.Requirement.Parts) < 2) {
			t.Fatalf("Choose sends %s at %d, the slow search %s at %d", d.Assignment.TechnicianID, got, best.id, best.cost)
		}
	})
	t.Logf("actions %v, %d through a warehouse", seen, via)
	for _, a := range []job.Action{job.ActionAssign, job.ActionEscalate, job.ActionOrderPart, job.ActionBookLater} {
		if seen[a] == 0 {
			t.Errorf("no case of %s: the test did not look at it", a)
		}
	}
}

// TestChoose_HardRulesHold checks a decision by itself, whatever the job.
func TestChoose_HardRulesHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRequest(t)
		d, err := Choose(r)
		if err != nil {
			t.Fatal(err)
		}
		if len(d.Candidates) != len(r.Technicians) {
			t.Fatalf("%d candidates of %d technicians", len(d.Candidates), len(r.Technicians))
		}
		if d.Action != job.ActionAssign {
			return
		}
		a := d.Assignment
		i := slices.IndexFunc(r.Technicians, func(e fleet.Technician) bool { return e.ID == a.TechnicianID })
		e, need := r.Technicians[i], r.Job.Requirement
		for _, s := range need.Skills {
			if !e.HasSkill(s, a.Finish) {
				t.Fatalf("%s lacks skill %s", e.ID, s)
			}
		}
		for _, tool := range need.Tools {
			if !e.HasTool(tool) {
				t.Fatalf("%s lacks tool %s", e.ID, tool)
			}
		}
		if w := r.Job.Window; !w.IsZero() && (a.Start.Before(w.Start) || a.Start.After(w.End)) {
			t.Fatalf("starts %v outside %v", a.Start, w)
		}
		if a.Finish.After(e.Shifts[0].End) || a.Arrive.Before(e.FreeAt) {
			t.Fatalf("%v to %v with free at %v and shift end %v", a.Arrive, a.Finish, e.FreeAt, e.Shifts[0].End)
		}
		if a.Chance < 0 || a.Chance > 1 || a.Cost.Travel < 0 || a.Cost.Wait < 0 || a.Cost.Delay < 0 || a.Cost.Return < 0 {
			t.Fatalf("chance %g, cost %+v", a.Chance, a.Cost)
		}
		got := 0
		for _, p := range a.Reserved {
			got += p.Quantity
		}
		if need.Certain && got != count(need.Parts) {
			t.Fatalf("%d parts promised of %d", got, count(need.Parts))
		}
		// The change must hold together: no line overdrawn, urgent jobs no worse off.
		change, err := Book(d, r)
		if err != nil {
			t.Fatal(err)
		}
		after := slices.Clone(r.Technicians)
		for _, w := range change.Technicians {
			replace(after, w.Value, func(e fleet.Technician) string { return e.ID })
		}
		shelvesAfter := slices.Clone(r.Warehouses)
		for _, w := range change.Warehouses {
			replace(shelvesAfter, w.Value, func(w fleet.Warehouse) string { return w.ID })
		}
		var was, is []unit
		for k := range after {
			if err := after[k].Stock.Validate(); err != nil {
				t.Fatal(err)
			}
			was, is = append(was, freeUnits(r.Technicians[k].Stock, "")...), append(is, freeUnits(after[k].Stock, "")...)
		}
		for k := range shelvesAfter {
			was, is = append(was, freeUnits(r.Warehouses[k].Stock, "")...), append(is, freeUnits(shelvesAfter[k].Stock, "")...)
		}
		if r.Job.Priority != job.Urgent && len(r.OpenUrgent) > 0 {
			u := r.OpenUrgent[0].Requirement.Parts
			if most(u, is) < most(u, was) {
				t.Fatalf("an open urgent job can be served with %d parts, before with %d", most(u, is), most(u, was))
			}
		}
	})
}

func TestChoose_EqualVansNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := sure(need("belt", "a"))
		if rapid.Bool().Draw(t, "urgent") {
			j.Priority = job.Urgent
		}
		var vans []fleet.Technician
		for i := range rapid.IntRange(1, 8).Draw(t, "vans") {
			vans = append(vans, van(string(rune('A'+i)), rapid.Float64Range(0, 60).Draw(t, "km"), line("belt", "a", 1, 0)))
		}
		d, err := Choose(ask(j, vans...))
		if err != nil {
			t.Fatal(err)
		}
		nearest := slices.MinFunc(vans, func(a, b fleet.Technician) int {
			ka, kb := travel.Kilometres(a.Position.Place, j.Place), travel.Kilometres(b.Position.Place, j.Place)
			switch {
			case ka < kb:
				return -1
			case ka > kb:
				return 1
			}
			return compareStrings(a.ID, b.ID)
		})
		if d.Assignment.TechnicianID != nearest.ID {
			t.Fatalf("%s goes, %s is nearest", d.Assignment.TechnicianID, nearest.ID)
		}
	})
}

func TestChoose_OrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRequest(t)
		first, err := Choose(r)
		if err != nil {
			t.Fatal(err)
		}
		r.Technicians = rapid.Permutation(r.Technicians).Draw(t, "order")
		r.Warehouses = rapid.Permutation(r.Warehouses).Draw(t, "shelf order")
		second, err := Choose(r)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(first, second); d != "" {
			t.Fatalf("another order, another decision:\n%s", d)
		}
	})
}

func TestChance_MoreStockNeverLowersIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRequest(t)
		r.OpenUrgent = nil
		outcomes := r.Job.Requirement.Faults()
		stock := drawStock(t)
		more := stock.Clone()
		kind, mark := kinds.Draw(t, "more of"), marks.Draw(t, "marked")
		more, err := more.Adjust(kind, mark, rapid.IntRange(1, 3).Draw(t, "more"))
		if err != nil {
			t.Fatal(err)
		}
		wanted := map[string]bool{"cap": true, "belt": true}
		m := newMatcher(volts{})
		chance := func(s fleet.Stock) float64 {
			v := shelves(s, "", wanted)
			return m.chance(outcomes, v, len(v), 1, nil)
		}
		// The plainest form: the sum over outcomes all of whose parts are there.
		want := 0.0
		for _, o := range outcomes {
			if most(o.Parts, freeUnits(stock, "")) == count(o.Parts) {
				want += o.Probability
			}
		}
		if got := chance(stock); math.Abs(got-want) > 1e-12 {
			t.Fatalf("chance %g, want %g", got, want)
		}
		if a, b := chance(stock), chance(more); b < a {
			t.Fatalf("with more parts the chance falls from %g to %g", a, b)
		}
	})
}
