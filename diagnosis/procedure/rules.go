package procedure

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"sync"

	"go.yaml.in/yaml/v3"
)

//go:embed rules.yaml
var embedded []byte

// ErrRules means the safety rules cannot be read or lack something.
var ErrRules = errors.New("procedure: bad rules")

// Precaution is one step of a safety sequence, in its order.
type Precaution struct {
	Code   string `yaml:"code"`
	Text   string `yaml:"text"`
	Source string `yaml:"source"`
}

// Sequence is what must be done before a kind of work.
type Sequence struct {
	Skill   string       `yaml:"skill"` // without which nobody does this kind of work
	Minutes float64      `yaml:"minutes"`
	Source  string       `yaml:"source"`
	Steps   []Precaution `yaml:"steps"`
}

// Rules are the safety sequences and the weights of the order.
type Rules struct {
	Isolation Sequence `yaml:"isolation"` // before anything behind a panel, once
	Live      Sequence `yaml:"live"`      // before every measurement under voltage
	Closing   Sequence `yaml:"closing"`   // before an outside check after panel work
	Final     Sequence `yaml:"final"`     // after the repair, before the machine is handed back
	Leave     struct {
		Text   string `yaml:"text"`
		Source string `yaml:"source"`
	} `yaml:"leave"`
	// FalseAlarmMinutes is what condemning a good part costs.
	FalseAlarmMinutes float64 `yaml:"false_alarm_minutes"`
	FalseAlarmSource  string  `yaml:"false_alarm_source"`
	// LeastChance is the probability of finding something below which a check
	// is left out.
	LeastChance       float64 `yaml:"least_chance"`
	LeastChanceSource string  `yaml:"least_chance_source"`
}

var defaults = sync.OnceValues(func() (*Rules, error) { return ParseRules(embedded) })

// DefaultRules returns the embedded rules. Read only.
func DefaultRules() *Rules {
	r, err := defaults()
	if err != nil {
		panic(err) // the embedded file is part of the program and under test
	}
	return r
}

// ParseRules reads rules as YAML. Unknown keys, an empty sequence, a text or
// skill left out and negative numbers are refused; errors wrap [ErrRules].
func ParseRules(data []byte) (*Rules, error) {
	d := yaml.NewDecoder(bytes.NewReader(data))
	d.KnownFields(true)
	r := new(Rules)
	if err := d.Decode(r); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRules, err)
	}
	return r, r.validate()
}

func (r *Rules) validate() error {
	for _, s := range []struct {
		name string
		of   Sequence
		who  bool
	}{{"isolation", r.Isolation, true}, {"live", r.Live, true}, {"closing", r.Closing, false}, {"final", r.Final, false}} {
		if len(s.of.Steps) == 0 {
			return fmt.Errorf("%w: %s has no steps", ErrRules, s.name)
		}
		if s.who && s.of.Skill == "" {
			return fmt.Errorf("%w: %s names no skill", ErrRules, s.name)
		}
		if !(s.of.Minutes >= 0) {
			return fmt.Errorf("%w: %s takes %v minutes", ErrRules, s.name, s.of.Minutes)
		}
		for i, p := range s.of.Steps {
			if p.Code == "" || p.Text == "" || p.Source == "" {
				return fmt.Errorf("%w: %s.steps[%d] lacks a code, text or source", ErrRules, s.name, i)
			}
		}
	}
	if r.Leave.Text == "" {
		return fmt.Errorf("%w: leave has no text", ErrRules)
	}
	if !(r.FalseAlarmMinutes >= 0) || !(r.LeastChance >= 0 && r.LeastChance < 1) {
		return fmt.Errorf("%w: false_alarm_minutes %v, least_chance %v", ErrRules, r.FalseAlarmMinutes, r.LeastChance)
	}
	return nil
}
