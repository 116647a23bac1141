package offer

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

func TestDefaultCosts(t *testing.T) {
	c := DefaultCosts()
	if c.PerKm != 35 || c.PerHour != 4500 || c.ReturnVisit != 9000 || c.Horizon != 14*24*time.Hour || c.ShelfReliability != 0.95 {
		t.Errorf("defaults are %+v", c)
	}
	// What keeps the nearest the nearest on one day, and urgent ones first.
	if c.WaitPerHour >= c.UrgentWaitPerHour || 24*c.WaitPerHour >= c.WaitPerNight {
		t.Errorf("waiting is out of order: %+v", c)
	}
}

func TestLoadCosts_Refuses(t *testing.T) {
	good := string(shipped)
	load := func(text string) error {
		_, err := LoadCosts(fstest.MapFS{"c.yaml": {Data: []byte(text)}}, "c.yaml")
		return err
	}
	if err := load(good); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, says string }{
		{"per_km:", "per_mile:", "per_mile"},
		{"  value: 35\n", "  value: -1\n", "c.yaml:6: per_km is -1"},
		{"  value: 35\n", "  value: 0.5\n", "per_km is 0.5"},
		{"  value: 35\n", "  value: 1e12\n", "per_km is 1e+12"},
		{"  value: 35\n", "  value: .nan\n", "per_km is NaN"},
		{"  value: 35\n", "  value: many\n", "line 6"},
		{"  value: 35\n", "  value: 35\n  mark: x\n", `"mark" is not known`},
		{"  value: 0.95\n", "  value: 1.01\n", "shelf_reliability is 1.01"},
		{"  unit: cents per road kilometre\n", "", "per_km needs a unit and a source"},
		{"horizon_days:\n  value: 14\n  unit: days a visit may be planned ahead\n  source: common practice, no source\n", "", "horizon_days is missing"},
	} {
		if !strings.Contains(good, c.from) {
			t.Fatalf("the shipped file has no %q", c.from)
		}
		err := load(strings.Replace(good, c.from, c.to, 1))
		if !errors.Is(err, ErrCosts) || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "c.yaml") {
			t.Errorf("%q instead of %q: %v, want %q in it", c.to, c.from, err, c.says)
		}
	}
	if _, err := LoadCosts(fstest.MapFS{}, "c.yaml"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no file: %v", err)
	}
}

func FuzzParseCosts(f *testing.F) {
	f.Add(shipped)                                          // the real one
	f.Add([]byte("per_km: {value: 1, unit: a, source: b}")) // one line, others missing
	f.Add([]byte("per_km: &a [*a]"))                        // a list that holds itself
	f.Add([]byte("? {a: b}\n: c"))                          // a mapping for a key
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := parseCosts("f.yaml", data)
		if err == nil && (c.PerKm < 0 || !(c.ShelfReliability >= 0 && c.ShelfReliability <= 1) || c.Horizon <= 0) {
			t.Fatalf("accepted %+v", c)
		}
		if err != nil && !errors.Is(err, ErrCosts) {
			t.Fatalf("error %v does not wrap %v", err, ErrCosts)
		}
	})
}
