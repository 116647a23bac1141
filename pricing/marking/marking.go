package marking

import (
	"errors"
	"fmt"

	"onevisit/pricing/part"
)

// Errors of Parse. Unreadable text is not an error: it is reported as unread.
var (
	// ErrEmpty means the text holds nothing but space.
	ErrEmpty = errors.New("marking: empty mark")
	// ErrLong means the text is longer than MaxBytes: not a mark.
	ErrLong = errors.New("marking: text too long for a mark")
	// ErrKind means no part kind was given.
	ErrKind = errors.New("marking: part kind missing")
)

// MaxBytes is the longest text Parse accepts.
const MaxBytes = 256

// Span is a piece of the mark that did not become part of the spec.
type Span struct {
	// Text is the piece in normalised form (upper case, decimal point).
	Text string
	// Why says what is wrong with it, for a technician.
	Why string
}

// Parsed is a mark as read.
type Parsed struct {
	// Spec is what was understood. Spec.Text equals Canonical.
	Spec part.Spec
	// Canonical is the mark printed back. Parsing it gives the same Spec and
	// the same Canonical. Empty when nothing of a typed kind could be read.
	Canonical string
	// Unread are the pieces left over, in no promised order. Stock numbers and
	// remarks land here too, so a non-empty list is no sign of failure.
	Unread []Span
}

// Parse reads a mark of the given part kind. Kinds without a typed spec get a
// normalised free mark, so that equal marks can be compared.
//
// Errors: ErrKind, ErrEmpty, ErrLong. It never panics, on any bytes.
// Cost: a few dozen linear scans of at most MaxBytes; safe for concurrent use.
func Parse(kind, text string) (Parsed, error) {
	if kind == "" {
		return Parsed{}, ErrKind
	}
	if len(text) > MaxBytes {
		return Parsed{}, fmt.Errorf("%w: %d bytes, at most %d", ErrLong, len(text), MaxBytes)
	}
	plain := normalise(text)
	if plain == "" {
		return Parsed{}, ErrEmpty
	}
	p := Parsed{Spec: part.Spec{Kind: kind}}
	switch kind {
	case part.RunCapacitor:
		c, unread := parseCapacitor(plain)
		p.Spec.Capacitor, p.Unread, p.Canonical = &c, unread, Capacitor(c)
	case part.DriveBelt:
		b, unread := parseBelt(plain)
		p.Spec.Belt, p.Unread, p.Canonical = &b, unread, Belt(b)
	default:
		p.Canonical = free(plain)
	}
	p.Spec.Text = p.Canonical
	return p, nil
}

// Must is Parse for tests and package variables: it panics on an error.
func Must(kind, text string) Parsed {
	p, err := Parse(kind, text)
	if err != nil {
		panic(fmt.Sprintf("marking: %q: %v", text, err))
	}
	return p
}
