package part

import (
	"fmt"
	"strconv"
	"strings"
)

// Picofarads is a capacitance. One microfarad is 1 000 000. Zero means not
// stated. Picofarads rather than nanofarads so that the small suppressor values
// (4n7, 2n2) that must be refused are still exact.
type Picofarads int64

// Microfarad is one µF in Picofarads.
const Microfarad Picofarads = 1_000_000

// String prints the value in µF, with no more decimals than it has: "12.5 µF".
func (p Picofarads) String() string { return Decimal(int64(p), 6) + " µF" }

// Decimal prints n·10^-places without trailing zeros: Decimal(12500, 3) is
// "12.5". It is exact; n may be negative.
func Decimal(n int64, places int) string {
	sign := ""
	u := uint64(n)
	if n < 0 {
		sign, u = "-", -u
	}
	digits := strconv.FormatUint(u, 10)
	if len(digits) <= places {
		digits = strings.Repeat("0", places-len(digits)+1) + digits
	}
	whole, frac := digits[:len(digits)-places], strings.TrimRight(digits[len(digits)-places:], "0")
	if frac == "" {
		return sign + whole
	}
	return sign + whole + "." + frac
}

// Volts is a rated voltage, RMS for AC. Zero means not stated.
type Volts uint16

// Class is the class of operation of a motor capacitor: the rated life at a
// rated voltage. A lasts longest. Zero means not stated.
//
// Source: IEC 60252-1 (A 30 000 h, B 10 000 h, C 3 000 h, D 1 000 h), clause
// text not seen.
type Class uint8

// Classes in rising order of life, so that a greater value is the better one.
const (
	ClassUnset Class = iota
	ClassD
	ClassC
	ClassB
	ClassA
)

// Letter is the printed letter, empty when not stated.
func (c Class) Letter() string {
	if c == ClassUnset || c > ClassA {
		return ""
	}
	return string(rune('A' + (ClassA - c)))
}

// Hours is the rated life, 0 when not stated.
func (c Class) Hours() int { return [...]int{0, 1000, 3000, 10000, 30000}[c%5] }

// Rating is one pair printed on a motor capacitor: an AC voltage and, where
// printed, the class of operation at that voltage.
type Rating struct {
	Volts Volts
	Class Class
}

// Ratings are the pairs of one capacitor, rising in voltage, unused places
// zero, no voltage twice. Four is one more than the most pairs seen printed.
type Ratings [4]Rating

// Highest returns the highest rated AC voltage, 0 when none is stated.
func (r Ratings) Highest() Volts {
	var top Volts
	for _, p := range r {
		top = max(top, p.Volts)
	}
	return top
}

// BestClassAt returns the best class among the pairs rated at volts or more.
func (r Ratings) BestClassAt(volts Volts) Class {
	best := ClassUnset
	for _, p := range r {
		if p.Volts >= volts && p.Volts > 0 {
			best = max(best, p.Class)
		}
	}
	return best
}

// Construction is what sort of capacitor it is. Zero means not known.
type Construction uint8

// Constructions. Only like replaces like, see the rules of package fit.
const (
	ConstructionUnset Construction = iota
	Run
	Start
	Suppressor
	DC
	Lamp
	HighVoltage
)

// Assembly is how many capacitors the mark speaks of and how they are joined.
type Assembly uint8

// Assemblies. Single is the zero value: one capacitor with one value, which is
// what a mark means unless it says otherwise.
const (
	Single   Assembly = iota
	Dual              // one can, two sections, three terminals
	Two               // two separate capacitors, wiring not said
	Parallel          // two in parallel: values add
	Series            // two in series
)

// Protection is the printed safety class. Zero means not stated.
type Protection uint8

// Safety classes: S of the present standard, P of the older one.
const (
	ProtectionUnset Protection = iota
	S0
	S1
	S2
	S3
	P0
	P1
	P2
	// ProtectionUnread: a class is printed but could not be read.
	ProtectionUnread
)

// String is the printed mark, empty when not stated.
func (p Protection) String() string {
	return [...]string{"", "S0", "S1", "S2", "S3", "P0", "P1", "P2", "S?"}[p%9]
}

// Rank orders protection: 1 none (S0, P0), 2 guarded but may fail open or
// short (S1, P1), 3 fails safe (S2, P2, S3); 0 not stated.
//
// Source: IEC 60252-1, from memory, clause text not seen.
func (p Protection) Rank() int64 { return [...]int64{0, 1, 2, 3, 3, 1, 2, 3, 0}[p%9] }

// Climate is the climatic category min/max/days, °C and days of damp heat.
// Max zero means not stated; Days zero means only the temperatures were given.
type Climate struct {
	Min, Max int16
	Days     uint8
}

// Stated reports whether a category was given.
func (c Climate) Stated() bool { return c.Max != 0 }

// Frequency is a set of rated frequencies.
type Frequency uint8

// Frequencies, as bits.
const (
	Hz50 Frequency = 1 << iota
	Hz60
)

// Terminals is how the capacitor is connected. Zero means not stated.
type Terminals uint8

// Terminal types.
const (
	TerminalsUnset Terminals = iota
	SingleTabs
	DoubleTabs
	Leads
)

// Tolerance is the printed tolerance in tenths of a percent. Both zero means
// not stated.
type Tolerance struct{ Minus, Plus uint16 }

// Stated reports whether a tolerance was printed.
func (t Tolerance) Stated() bool { return t.Minus != 0 || t.Plus != 0 }

// Capacitor is a capacitor as printed. The zero value states nothing.
type Capacitor struct {
	Construction Construction
	Assembly     Assembly
	// Capacitance is the value; of two, the larger; of a start range, the lower end.
	Capacitance Picofarads
	// Second is the smaller value of a Dual, Two, Parallel or Series assembly.
	Second Picofarads
	// Upper is the upper end of a start capacitor's range.
	Upper Picofarads
	// Ratings are AC voltages with their classes.
	Ratings Ratings
	// DCVolts is a DC rating, which never counts as an AC motor rating.
	DCVolts    Volts
	Tolerance  Tolerance
	Protection Protection
	Climate    Climate
	Frequency  Frequency
	Terminals  Terminals
	// TabTenths is the tab width in tenths of a millimetre: 63 or 28.
	TabTenths uint8
	// Bleed says whether a discharge resistor is built in, BleedOhms its value
	// where printed.
	Bleed     Presence
	BleedOhms uint32
	// DiameterTenths and LengthTenths are the case in tenths of a millimetre,
	// Stud the thread of a fixing stud (8 for M8).
	DiameterTenths, LengthTenths uint16
	Stud                         uint8
}

func ofCapacitor(get func(*Capacitor) Value) func(*Spec) Value {
	return func(s *Spec) Value {
		if s.Capacitor == nil {
			return Value{}
		}
		return get(s.Capacitor)
	}
}

func number(places int, unit string) func(Value) string {
	return func(v Value) string { return Decimal(v.N, places) + " " + unit }
}

// acVolts is the highest AC voltage. A capacitor that states only DC has a
// stated AC rating of zero: it is known not to serve, rather than unknown.
func acVolts(c *Capacitor) Value {
	if v := c.Ratings.Highest(); v > 0 {
		return Of(int64(v))
	}
	if c.DCVolts > 0 {
		return Of(0)
	}
	return Value{}
}

func textOfCapacitor(text func(*Capacitor) string) func(*Spec) string {
	return func(s *Spec) string {
		if s.Capacitor == nil {
			return ""
		}
		return text(s.Capacitor)
	}
}

func valuesText(c *Capacitor) string {
	a, b := Decimal(int64(c.Capacitance), 6), Decimal(int64(c.Second), 6)
	switch {
	case c.Capacitance == 0:
		return ""
	case c.Upper > 0:
		return a + " to " + Decimal(int64(c.Upper), 6) + " µF"
	case c.Assembly == Single:
		return a + " µF"
	}
	return a + " and " + b + " µF"
}

func voltsText(c *Capacitor) string {
	var pairs []string
	for _, p := range c.Ratings {
		if p.Volts > 0 {
			pairs = append(pairs, strconv.Itoa(int(p.Volts))+" V AC")
		}
	}
	if len(pairs) == 0 && c.DCVolts > 0 {
		return fmt.Sprintf("%d V DC only", c.DCVolts)
	}
	return strings.Join(pairs, " / ")
}

func classText(c *Capacitor) string {
	var pairs []string
	for _, p := range c.Ratings {
		if p.Class != ClassUnset {
			pairs = append(pairs, fmt.Sprintf("%s (%d h) at %d V", p.Class.Letter(), p.Class.Hours(), p.Volts))
		}
	}
	return strings.Join(pairs, ", ")
}

var capacitorFields = []Field{
	{Name: "construction", Label: "type of capacitor",
		Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.Construction)) }),
		Words: map[string]int64{"run": int64(Run), "start": int64(Start), "suppressor": int64(Suppressor),
			"dc": int64(DC), "lamp": int64(Lamp), "high_voltage": int64(HighVoltage)}},
	{Name: "assembly", Label: "how it is made up",
		Get: ofCapacitor(func(c *Capacitor) Value { return Of(int64(c.Assembly)) }),
		Words: map[string]int64{"single": int64(Single), "dual": int64(Dual), "two": int64(Two),
			"parallel": int64(Parallel), "series": int64(Series)}},
	{Name: "capacitance", Label: "capacitance", Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.Capacitance)) }),
		Text: textOfCapacitor(valuesText)},
	{Name: "voltage", Label: "rated AC voltage", Get: ofCapacitor(acVolts), Text: textOfCapacitor(voltsText)},
	{Name: "tolerance", Label: "tolerance", Get: ofCapacitor(func(c *Capacitor) Value {
		return positive(int64(max(c.Tolerance.Minus, c.Tolerance.Plus)))
	}), Format: func(v Value) string { return "±" + Decimal(v.N, 1) + " %" }},
	{Name: "class", Label: "class of operation", Get: ofCapacitor(func(c *Capacitor) Value {
		return positive(int64(c.Ratings.BestClassAt(0)))
	}), Text: textOfCapacitor(classText)},
	{Name: "protection", Label: "safety protection", Get: ofCapacitor(func(c *Capacitor) Value {
		v := positive(c.Protection.Rank())
		v.Unreadable = c.Protection == ProtectionUnread
		return v
	}),
		Format: func(v Value) string {
			return [...]string{"", "none (S0)", "guarded (S1)", "fails safe (S2, S3)"}[v.N%4]
		}},
	{Name: "climate", Label: "climatic category", Get: ofCapacitor(func(c *Capacitor) Value {
		return Value{N: int64(c.Climate.Max), Set: c.Climate.Stated()}
	}), Text: textOfCapacitor(func(c *Capacitor) string {
		if !c.Climate.Stated() {
			return ""
		}
		text := fmt.Sprintf("%d to +%d °C", c.Climate.Min, c.Climate.Max)
		if c.Climate.Days > 0 {
			text += fmt.Sprintf(", %d days damp heat", c.Climate.Days)
		}
		return text
	})},
	{Name: "frequency", Label: "frequency", Bits: true, Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.Frequency)) }),
		Format: func(v Value) string { return [...]string{"", "50 Hz", "60 Hz", "50/60 Hz"}[v.N&3] }},
	{Name: "terminals", Label: "terminals", Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.Terminals)) }),
		Words: map[string]int64{"single_tabs": int64(SingleTabs), "double_tabs": int64(DoubleTabs), "leads": int64(Leads)}},
	{Name: "tab_width", Label: "tab width", Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.TabTenths)) }), Format: number(1, "mm")},
	{Name: "diameter", Label: "case diameter", Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.DiameterTenths)) }), Format: number(1, "mm")},
	{Name: "case_length", Label: "case length", Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.LengthTenths)) }), Format: number(1, "mm")},
	{Name: "stud", Label: "fixing stud", Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.Stud)) }),
		Format: func(v Value) string { return "M" + Decimal(v.N, 0) }},
	{Name: "bleed", Label: "discharge resistor", Get: ofCapacitor(func(c *Capacitor) Value { return positive(int64(c.Bleed)) }),
		Words: map[string]int64{"built_in": int64(Yes), "none": int64(No)}},
}
