package question

import (
	"bytes"
	_ "embed"
	"fmt"
	"math"
	"sync"

	"go.yaml.in/yaml/v3"

	"onevisit/diagnosis/kit"
)

//go:embed costs.yaml
var embedded []byte

// Costs weigh asking against not knowing, in minutes of technician time.
type Costs struct {
	// ReturnVisit is the cost of a visit that lacks a part.
	ReturnVisit       kit.Cost `yaml:"return_visit_minutes"`
	ReturnVisitSource string   `yaml:"return_visit_source"`
	// CallMinute is the cost of one minute of the call.
	CallMinute       float64 `yaml:"call_minute"`
	CallMinuteSource string  `yaml:"call_minute_source"`
	// DontKnow is the probability, in [0, 1), that the caller cannot answer.
	DontKnow       float64 `yaml:"dont_know"`
	DontKnowSource string  `yaml:"dont_know_source"`
	// KnownRatio is the ratio, above 1, from which a finding in the caller's own
	// words counts as known.
	KnownRatio       float64 `yaml:"known_ratio"`
	KnownRatioSource string  `yaml:"known_ratio_source"`
}

var defaults = sync.OnceValues(func() (Costs, error) { return ParseCosts(embedded) })

// DefaultCosts returns the embedded costs.
func DefaultCosts() Costs {
	c, err := defaults()
	if err != nil {
		panic(err) // the embedded file is part of the program and under test
	}
	return c
}

// ParseCosts reads costs as YAML. Unknown keys and values out of range are
// refused with an error that wraps [ErrProblem].
func ParseCosts(data []byte) (Costs, error) {
	d := yaml.NewDecoder(bytes.NewReader(data))
	d.KnownFields(true)
	var c Costs
	if err := d.Decode(&c); err != nil {
		return Costs{}, fmt.Errorf("%w: %w", ErrProblem, err)
	}
	return c, c.validate()
}

func (c Costs) validate() error {
	switch {
	case !(c.ReturnVisit > 0) || math.IsInf(float64(c.ReturnVisit), 1):
		return fmt.Errorf("%w: return_visit_minutes %v", ErrProblem, c.ReturnVisit)
	case !(c.CallMinute >= 0) || math.IsInf(c.CallMinute, 1):
		return fmt.Errorf("%w: call_minute %v", ErrProblem, c.CallMinute)
	case !(c.DontKnow >= 0 && c.DontKnow < 1):
		return fmt.Errorf("%w: dont_know %v", ErrProblem, c.DontKnow)
	case !(c.KnownRatio > 1):
		return fmt.Errorf("%w: known_ratio %v", ErrProblem, c.KnownRatio)
	}
	return nil
}
