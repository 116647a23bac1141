package belief

import (
	"bytes"
	_ "embed"
	"fmt"
	"math"
	"sync"

	"go.yaml.in/yaml/v3"

	"onevisit/diagnosis/knowledge"
)

//go:embed parameters.yaml
var embedded []byte

// Parameters are the numbers belief needs beside the knowledge of a family. The
// embedded ones come from [DefaultParameters].
type Parameters struct {
	WearOut WearOut `yaml:"wear_out"`
	Early   Early   `yaml:"early"`
}

// WearOut is how the odds of wearing faults grow with age.
type WearOut struct {
	Lowest       float64             `yaml:"lowest"`  // the factor never falls below
	Highest      float64             `yaml:"highest"` // nor rises above
	LimitsSource string              `yaml:"limits_source"`
	Default      Lifetime            `yaml:"default"`
	Families     map[string]Lifetime `yaml:"families"` // by family code
}

// Lifetime is a Weibull distribution of the life of a machine, starting at 0.
type Lifetime struct {
	Shape      float64 `yaml:"shape"`
	ScaleYears float64 `yaml:"scale_years"`
	Source     string  `yaml:"source"`
}

// Early is how the odds of early faults fall with age.
type Early struct {
	Peak      float64 `yaml:"peak"`  // factor on the first day
	Floor     float64 `yaml:"floor"` // factor it falls to
	FadeYears float64 `yaml:"fade_years"`
	Source    string  `yaml:"source"`
}

var defaults = sync.OnceValues(func() (*Parameters, error) { return ParseParameters(embedded) })

// DefaultParameters returns the embedded parameters. Read only.
func DefaultParameters() *Parameters {
	p, err := defaults()
	if err != nil {
		panic(err) // the embedded file is part of the program and under test
	}
	return p
}

// ParseParameters reads parameters as YAML. Unknown keys and values out of
// range are refused with an error that wraps [ErrParameters].
func ParseParameters(data []byte) (*Parameters, error) {
	d := yaml.NewDecoder(bytes.NewReader(data))
	d.KnownFields(true)
	p := new(Parameters)
	if err := d.Decode(p); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrParameters, err)
	}
	if err := p.validate(); err != nil {
		return nil, err
	}
	return p, nil
}

func (p *Parameters) validate() error {
	positive := func(name string, v float64) error {
		if !(v > 0) || math.IsInf(v, 1) {
			return fmt.Errorf("%w: %s %v is not above 0 and finite", ErrParameters, name, v)
		}
		return nil
	}
	lives := map[string]Lifetime{"wear_out.default": p.WearOut.Default}
	for code, l := range p.WearOut.Families {
		lives["wear_out.families."+code] = l
	}
	for name, l := range lives {
		if err := positive(name+".shape", l.Shape); err != nil {
			return err
		}
		if err := positive(name+".scale_years", l.ScaleYears); err != nil {
			return err
		}
	}
	for _, f := range []struct {
		name string
		v    float64
	}{
		{"wear_out.lowest", p.WearOut.Lowest}, {"wear_out.highest", p.WearOut.Highest},
		{"early.peak", p.Early.Peak}, {"early.floor", p.Early.Floor}, {"early.fade_years", p.Early.FadeYears},
	} {
		if err := positive(f.name, f.v); err != nil {
			return err
		}
	}
	if p.WearOut.Lowest > p.WearOut.Highest {
		return fmt.Errorf("%w: wear_out.lowest is above wear_out.highest", ErrParameters)
	}
	return nil
}

// WearFactor returns the factor on the odds of a fault of the given kind of
// wear in a machine of ageYears (at least 0) of the family.
//
// Steady is 1. WearOut is the machine's Weibull hazard at that age over its
// average hazard during a life, (k/eta)(t/eta)^(k-1)·eta·Gamma(1+1/k), held
// between Lowest and Highest; it is 1 for a machine of average risk. Early is
// Floor+(Peak-Floor)·exp(-t/FadeYears).
//
// Source: renewal theory for the average hazard (one over the mean life); the
// shapes and scales are named in the data.
func (p *Parameters) WearFactor(family string, w knowledge.Wear, ageYears float64) float64 {
	switch w {
	case knowledge.WearOut:
		l, ok := p.WearOut.Families[family]
		if !ok {
			l = p.WearOut.Default
		}
		h := l.Shape * math.Pow(ageYears/l.ScaleYears, l.Shape-1) * math.Gamma(1+1/l.Shape)
		return min(max(h, p.WearOut.Lowest), p.WearOut.Highest)
	case knowledge.Early:
		e := p.Early
		return e.Floor + (e.Peak-e.Floor)*math.Exp(-ageYears/e.FadeYears)
	default:
		return 1
	}
}
