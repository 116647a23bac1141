package catalogue

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"onevisit/pricing/price"
)

// Errors of the package.
var (
	// ErrPart means the book has no price for this part kind of this family.
	ErrPart = errors.New("catalogue: no price for part")
	// ErrModel means the model is not listed.
	ErrModel = errors.New("catalogue: model not listed")
	// ErrBook is wrapped by every error about a file's content.
	ErrBook = errors.New("catalogue: bad price book")
)

//go:embed data/*.yaml
var embedded embed.FS

// Rate is a fraction in parts per million: 8.5 % is 85 000.
type Rate int64

// Surcharge is a fixed sum for work that needs a licence.
type Surcharge struct {
	Label  string
	Amount price.Amount
}

// Part is the price of one part kind for one family, and the marks met most
// often, most frequent first. Low ≤ Typical ≤ High.
type Part struct {
	Low, Typical, High price.Amount
	Marks              []string
	Source             string
}

// Book is a loaded price book with its models. It is never changed after
// loading: safe for concurrent use.
type Book struct {
	// Currency is the ISO 4217 code of every amount.
	Currency string
	// TaxName is what the tax line is called; TaxRate applies to the net sum.
	TaxName string
	TaxRate Rate
	// LabourPerHour is charged by the minute beyond IncludedMinutes, which
	// CallOut covers together with travel.
	LabourPerHour, CallOut, Minimum   price.Amount
	IncludedMinutes, FinalTestMinutes int
	// Rounding decides fractions of a minor unit; the total is a multiple of
	// CashStep minor units, 1 for no step.
	Rounding  price.Rounding
	CashStep  int64
	ValidDays int
	// Surcharges by skill code; a skill not listed costs nothing extra.
	Surcharges map[string]Surcharge

	parts  map[string]map[string]Part
	models map[string]map[string]string
}

// Default returns the price book shipped with the program. It panics only if
// the shipped files are broken, which a test rules out.
func Default() *Book {
	sub, err := fs.Sub(embedded, "data")
	if err == nil {
		var b *Book
		if b, err = Load(sub); err == nil {
			return b
		}
	}
	panic(err)
}

// Part returns the price of a part kind for a family. Error: ErrPart, naming
// both. "no_part" has no price and is an error too: nothing is fitted.
func (b *Book) Part(family, kind string) (Part, error) {
	p, ok := b.parts[family][kind]
	if !ok {
		return Part{}, fmt.Errorf("%w %q of %q", ErrPart, kind, family)
	}
	p.Marks = slices.Clone(p.Marks)
	return p, nil
}

// Families returns the families the book prices, sorted.
func (b *Book) Families() []string { return slices.Sorted(maps.Keys(b.parts)) }

// Kinds returns the part kinds priced for a family, sorted, nil for an unknown one.
func (b *Book) Kinds(family string) []string { return slices.Sorted(maps.Keys(b.parts[family])) }

// Ratings returns the marks of a model's parts by part kind. Case, spaces and
// hyphens of the model do not matter. The map is the caller's. Error: ErrModel.
func (b *Book) Ratings(family, model string) (map[string]string, error) {
	r, ok := b.models[modelKey(family, model)]
	if !ok {
		return nil, fmt.Errorf("%w: %q of %q", ErrModel, model, family)
	}
	return maps.Clone(r), nil
}

func modelKey(family, model string) string {
	return family + "\x00" + strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '/' || r == '.' {
			return -1
		}
		return r
	}, strings.ToUpper(model))
}
