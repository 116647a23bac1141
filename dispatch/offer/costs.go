package offer

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"sync"
	"time"

	"go.yaml.in/yaml/v3"

	"onevisit/dispatch/job"
)

// ErrCosts marks a file of costs that cannot be used; the text names file and
// line.
var ErrCosts = errors.New("offer: bad costs")

// Costs puts everything on one scale, in minor units of the house currency.
// They only compare choices; no customer ever pays them.
type Costs struct {
	// PerKm is what a road kilometre costs.
	PerKm job.Cents
	// PerHour is what a technician's hour at the wheel or at a warehouse costs.
	PerHour job.Cents
	// WaitPerHour and UrgentWaitPerHour are what an hour costs that a customer
	// waits from now until the visit begins.
	WaitPerHour, UrgentWaitPerHour job.Cents
	// WaitPerNight is added for each midnight between now and the visit.
	WaitPerNight job.Cents
	// DelayPerHour is what an hour costs that a promised visit moves back within
	// its window.
	DelayPerHour job.Cents
	// ReturnVisit is what a second visit costs, all in.
	ReturnVisit job.Cents
	// ShelfReliability is the probability, 0 to 1, that a part a warehouse counts
	// is there when fetched.
	ShelfReliability float64
	// HoldForUrgent is the probability, 0 to 1, from which a part an open urgent
	// job may need is held for it against normal jobs.
	HoldForUrgent float64
	// Horizon is how far ahead a visit may be planned.
	Horizon time.Duration
}

//go:embed costs.yaml
var shipped []byte

var defaults = sync.OnceValue(func() Costs {
	c, err := parseCosts("costs.yaml", shipped)
	if err != nil {
		panic(err) // the shipped file is embedded and tested: cannot happen
	}
	return c
})

// DefaultCosts returns the shipped costs. Each value's source is in costs.yaml.
func DefaultCosts() Costs { return defaults() }

// LoadCosts reads costs from a file of the shape of the shipped costs.yaml. All
// entries must be there. Errors wrap ErrCosts, or are fsys's own.
func LoadCosts(fsys fs.FS, name string) (Costs, error) {
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return Costs{}, err
	}
	return parseCosts(name, data)
}

// entry is one value with its unit and source, and the line it stands on.
type entry struct {
	Value  float64 `yaml:"value"`
	Unit   string  `yaml:"unit"`
	Source string  `yaml:"source"`
	line   int
}

func (e *entry) UnmarshalYAML(n *yaml.Node) error {
	type plainEntry entry // without this method
	var p plainEntry
	known := map[string]bool{"value": true, "unit": true, "source": true}
	if n.Kind == yaml.MappingNode {
		for i := 0; i < len(n.Content); i += 2 {
			if k := n.Content[i]; !known[k.Value] {
				return fmt.Errorf("line %d: %q is not known here", k.Line, k.Value)
			}
		}
	}
	if err := n.Decode(&p); err != nil {
		return err
	}
	*e = entry(p)
	e.line = n.Line
	return nil
}

func parseCosts(name string, data []byte) (Costs, error) {
	var f struct {
		PerKm             entry `yaml:"per_km"`
		PerHour           entry `yaml:"per_hour"`
		WaitPerHour       entry `yaml:"wait_per_hour"`
		UrgentWaitPerHour entry `yaml:"urgent_wait_per_hour"`
		WaitPerNight      entry `yaml:"wait_per_night"`
		DelayPerHour      entry `yaml:"delay_per_hour"`
		ReturnVisit       entry `yaml:"return_visit"`
		ShelfReliability  entry `yaml:"shelf_reliability"`
		HoldForUrgent     entry `yaml:"hold_for_urgent"`
		HorizonDays       entry `yaml:"horizon_days"`
	}
	d := yaml.NewDecoder(bytes.NewReader(data))
	d.KnownFields(true)
	if err := d.Decode(&f); err != nil {
		return Costs{}, fmt.Errorf("%w: %s: %w", ErrCosts, name, err)
	}
	var bad []error
	number := func(key string, e entry, low, high float64, whole bool) float64 {
		switch {
		case e.line == 0:
			bad = append(bad, fmt.Errorf("%w: %s: %s is missing", ErrCosts, name, key))
		case e.Source == "" || e.Unit == "":
			bad = append(bad, fmt.Errorf("%w: %s:%d: %s needs a unit and a source", ErrCosts, name, e.line, key))
		case !(e.Value >= low && e.Value <= high) || (whole && e.Value != math.Trunc(e.Value)):
			bad = append(bad, fmt.Errorf("%w: %s:%d: %s is %g, want %g to %g", ErrCosts, name, e.line, key, e.Value, low, high))
		}
		return e.Value
	}
	const most = 1e9 // cents; keeps sums far from overflow
	cents := func(key string, e entry) job.Cents { return job.Cents(number(key, e, 0, most, true)) }
	c := Costs{
		PerKm: cents("per_km", f.PerKm), PerHour: cents("per_hour", f.PerHour),
		WaitPerHour:       cents("wait_per_hour", f.WaitPerHour),
		UrgentWaitPerHour: cents("urgent_wait_per_hour", f.UrgentWaitPerHour),
		WaitPerNight:      cents("wait_per_night", f.WaitPerNight),
		DelayPerHour:      cents("delay_per_hour", f.DelayPerHour),
		ReturnVisit:       cents("return_visit", f.ReturnVisit),
		ShelfReliability:  number("shelf_reliability", f.ShelfReliability, 0, 1, false),
		HoldForUrgent:     number("hold_for_urgent", f.HoldForUrgent, 0, 1, false),
		Horizon:           time.Duration(number("horizon_days", f.HorizonDays, 1, 365, true)) * 24 * time.Hour,
	}
	return c, errors.Join(bad...)
}
