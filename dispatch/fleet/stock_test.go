package fleet

import (
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestStock_PromiseTakeBackUse(t *testing.T) {
	// The worked number of the package comment.
	s := Stock{{PartKind: "run_capacitor", Mark: "8 µF 450 V", Quantity: 3, Reservations: []Reservation{{"J1", 1}}}}
	if got := s.Available("run_capacitor"); got != 2 {
		t.Fatalf("%d free, want 2", got)
	}
	if _, err := s.Reserve("J2", "run_capacitor", "8 µF 450 V", 3); !errors.Is(err, ErrNotEnough) {
		t.Errorf("promising 3 of 2: %v", err)
	}
	s, err := s.Reserve("J2", "run_capacitor", "8 µF 450 V", 2)
	if err != nil {
		t.Fatal(err)
	}
	if s, err = s.Consume("J1", "run_capacitor", "8 µF 450 V", 1); err != nil {
		t.Fatal(err)
	}
	if s[0].Quantity != 2 || s[0].Free() != 0 || s[0].ReservedFor("J2") != 2 || s[0].ReservedFor("J1") != 0 {
		t.Errorf("left with %+v", s[0])
	}
	if _, err = s.Consume("J1", "run_capacitor", "8 µF 450 V", 1); !errors.Is(err, ErrNotEnough) {
		t.Errorf("using what is promised to another: %v", err)
	}
	if _, err = s.Adjust("run_capacitor", "8 µF 450 V", -1); !errors.Is(err, ErrNotEnough) {
		t.Errorf("adjusting away what is promised: %v", err)
	}
	s = s.Release("J2")
	if s[0].Free() != 2 {
		t.Errorf("%d free after release, want 2", s[0].Free())
	}
	if s, err = s.Adjust("run_capacitor", "8 µF 450 V", -2); err != nil || len(s) != 1 || s[0].Quantity != 0 {
		t.Errorf("emptied line: %+v, %v", s, err)
	}
}

func TestStock_Refuses(t *testing.T) {
	s := Stock{{PartKind: "belt", Mark: "a", Quantity: 1}}
	for what, c := range map[string]struct {
		do   func() (Stock, error)
		want error
	}{
		"reserve none":         {func() (Stock, error) { return s.Reserve("J", "belt", "a", 0) }, ErrQuantity},
		"reserve fewer":        {func() (Stock, error) { return s.Reserve("J", "belt", "a", -1) }, ErrQuantity},
		"reserve another mark": {func() (Stock, error) { return s.Reserve("J", "belt", "b", 1) }, ErrNotEnough},
		"consume none":         {func() (Stock, error) { return s.Consume("J", "belt", "a", 0) }, ErrQuantity},
		"consume unknown":      {func() (Stock, error) { return s.Consume("J", "hose", "a", 1) }, ErrNotEnough},
		"adjust nameless":      {func() (Stock, error) { return s.Adjust("", "a", 1) }, ErrQuantity},
		"adjust unknown down":  {func() (Stock, error) { return s.Adjust("hose", "", -1) }, ErrNotEnough},
	} {
		if _, err := c.do(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", what, err, c.want)
		}
	}
	for what, bad := range map[string]Stock{
		"nameless":  {{Quantity: 1}},
		"negative":  {{PartKind: "belt", Quantity: -1}},
		"overdrawn": {{PartKind: "belt", Quantity: 1, Reservations: []Reservation{{"J1", 1}, {"J2", 1}}}},
		"twice":     {{PartKind: "belt", Mark: "a"}, {PartKind: "belt", Mark: "a"}},
		"nobody's":  {{PartKind: "belt", Quantity: 1, Reservations: []Reservation{{"", 1}}}},
	} {
		if err := bad.Validate(); !errors.Is(err, ErrQuantity) {
			t.Errorf("%s: %v, want %v", what, err, ErrQuantity)
		}
	}
}

// Random operations against a plain count of what each job holds.
func TestStock_AgainstPlainCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s Stock
		total, held := 0, map[string]int{}
		promised := func() (n int) {
			for _, q := range held {
				n += q
			}
			return n
		}
		jobs := rapid.SampledFrom([]string{"J1", "J2", "J3"})
		for range rapid.IntRange(1, 40).Draw(t, "steps") {
			before := s.Clone()
			was := s
			id, n := jobs.Draw(t, "job"), rapid.IntRange(1, 5).Draw(t, "n")
			var err error
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				if s, err = s.Reserve(id, "belt", "a", n); (err == nil) != (total-promised() >= n) {
					t.Fatalf("reserve %d of %d: %v", n, total-promised(), err)
				} else if err == nil {
					held[id] += n
				}
			case 1:
				s = s.Release(id)
				held[id] = 0
			case 2:
				free := total - promised()
				if s, err = s.Consume(id, "belt", "a", n); (err == nil) != (free+held[id] >= n) {
					t.Fatalf("consume %d of %d: %v", n, free+held[id], err)
				} else if err == nil {
					total -= n
					held[id] = max(held[id]-n, 0)
				}
			case 3:
				d := n * rapid.SampledFrom([]int{1, -1}).Draw(t, "sign")
				if s, err = s.Adjust("belt", "a", d); (err == nil) != (total-promised()+d >= 0 && (len(was) > 0 || d >= 0)) {
					t.Fatalf("adjust by %d of %d: %v", d, total-promised(), err)
				} else if err == nil {
					total += d
				}
			}
			if d := cmp.Diff(before, was); d != "" {
				t.Fatalf("the receiver was changed: %s", d)
			}
			if err := s.Validate(); err != nil {
				t.Fatal(err)
			}
			if got := s.Available("belt"); got != total-promised() {
				t.Fatalf("%d free, want %d", got, total-promised())
			}
		}
	})
}

func TestTechnician_HasSkill(t *testing.T) {
	day := time.Date(2031, 5, 6, 0, 0, 0, 0, time.UTC)
	e := Technician{Skills: []Skill{{Code: "electrical"}, {Code: "gas", Until: day}, {Code: "gas", Until: day.Add(time.Hour)}}}
	for _, c := range []struct {
		code string
		at   time.Time
		want bool
	}{
		{"electrical", day.AddDate(50, 0, 0), true}, {"gas", day.Add(time.Hour), true}, {"gas", day.Add(time.Hour + 1), false},
		{"sealed_refrigeration", day, false}, {"", day, false},
	} {
		if got := e.HasSkill(c.code, c.at); got != c.want {
			t.Errorf("%s at %v: %v", c.code, c.at, got)
		}
	}
}

func TestTechnician_WithoutStopAndClone(t *testing.T) {
	e := Technician{Day: []Stop{{JobID: "J1"}, {JobID: "J2", Via: &Via{Open: []Window{{}}}}, {JobID: "J3"}}}
	got := e.WithoutStop("J2")
	if len(got.Day) != 2 || got.Day[1].JobID != "J3" || len(e.Day) != 3 || e.Day[1].JobID != "J2" {
		t.Errorf("without J2: %v; left: %v", got.Day, e.Day)
	}
	c := e.Clone()
	c.Day[1].Via.Open[0].Start = time.Unix(9, 0)
	c.Day[0].JobID = "x"
	if e.Day[0].JobID != "J1" || !e.Day[1].Via.Open[0].Start.IsZero() {
		t.Error("the clone shares memory")
	}
}
