package price

import (
	"errors"
	"fmt"
	"math/big"

	"github.com/govalues/money"
)

// Errors of the package.
var (
	// ErrCurrency means a code ISO 4217 does not list, or two currencies in one sum.
	ErrCurrency = errors.New("price: currency")
	// ErrAmount means text that is no amount, or one finer than the minor unit.
	ErrAmount = errors.New("price: amount")
	// ErrRange means a result outside what an amount holds.
	ErrRange = errors.New("price: out of range")
)

// Rounding says how a fraction of a minor unit is decided.
type Rounding uint8

// Rounding rules. Up and Down are away from and towards zero.
const (
	HalfEven Rounding = iota
	HalfUp
	Up
	Down
)

// ParseRounding reads the word used in price books.
func ParseRounding(word string) (Rounding, bool) {
	r, ok := map[string]Rounding{"half_even": HalfEven, "half_up": HalfUp, "up": Up, "down": Down}[word]
	return r, ok
}

// Divide returns num/den as a whole number under the rule. den must be above
// zero. It is the only place where a fraction of a minor unit is decided.
func (r Rounding) Divide(num, den *big.Int) *big.Int {
	q, rest := new(big.Int).QuoRem(num, den, new(big.Int)) // towards zero
	if rest.Sign() == 0 || r == Down {
		return q
	}
	twice := new(big.Int).Abs(rest)
	half := twice.Lsh(twice, 1).Cmp(den)
	if r == Up || half > 0 || half == 0 && (r == HalfUp || q.Bit(0) == 1) {
		q.Add(q, big.NewInt(int64(num.Sign())))
	}
	return q
}

// Amount is money. It is always a whole number of minor units. The zero value
// has no currency and cannot be added to anything.
type Amount struct{ a money.Amount }

// Parse reads an amount such as "18.50" in a currency such as "USD". More
// decimals than the currency has are ErrAmount, never rounded.
func Parse(currency, text string) (Amount, error) {
	c, err := money.ParseCurr(currency)
	if err != nil || c == money.XXX {
		return Amount{}, fmt.Errorf("%w: %q is no ISO 4217 code", ErrCurrency, currency)
	}
	a, err := money.ParseAmount(currency, text)
	// The library rounds beyond 19 digits; nothing that long is an amount.
	if _, fits := a.MinorUnits(); err != nil || !fits || len(text) > 20 {
		return Amount{}, fmt.Errorf("%w: %q", ErrAmount, text)
	}
	if a = a.TrimToCurr(); a.Scale() > c.Scale() {
		return Amount{}, fmt.Errorf("%w: %q has more than %d decimals", ErrAmount, text, c.Scale())
	}
	return Amount{a}, nil
}

// Minor makes an amount from minor units (cents).
func Minor(currency string, units int64) (Amount, error) {
	if c, err := money.ParseCurr(currency); err != nil || c == money.XXX {
		return Amount{}, fmt.Errorf("%w: %q is no ISO 4217 code", ErrCurrency, currency)
	}
	a, err := money.NewAmountFromMinorUnits(currency, units)
	if err != nil {
		return Amount{}, fmt.Errorf("%w: %d minor units", ErrRange, units)
	}
	return Amount{a}, nil
}

// Currency is the ISO 4217 code.
func (a Amount) Currency() string { return a.a.Curr().Code() }

// MinorUnits is the amount in cents, or the currency's own minor unit.
func (a Amount) MinorUnits() int64 {
	n, _ := a.a.MinorUnits() // exact: every constructor checks
	return n
}

// UnitsNanos splits the amount for the wire: whole units and 10^-9 parts, of
// the same sign.
func (a Amount) UnitsNanos() (units int64, nanos int32) {
	w, f, _ := a.a.Int64(9)
	return w, int32(f)
}

// String prints code and number, "USD 18.50".
func (a Amount) String() string { return a.a.String() }

// Number prints the amount without its currency, "18.50".
func (a Amount) Number() string { return a.a.Decimal().String() }

// Add returns the sum. Errors: ErrCurrency for two currencies, ErrRange.
func (a Amount) Add(b Amount) (Amount, error) {
	if a.Currency() != b.Currency() || a == (Amount{}) {
		return Amount{}, fmt.Errorf("%w: %s and %s in one sum", ErrCurrency, a.Currency(), b.Currency())
	}
	sum, err := a.a.Add(b.a)
	if err != nil {
		return Amount{}, fmt.Errorf("%w: %v + %v", ErrRange, a, b)
	}
	return Amount{sum}, nil
}

// Sub returns the difference, with the errors of Add.
func (a Amount) Sub(b Amount) (Amount, error) { return a.Add(Amount{b.a.Neg()}) }

// Cmp compares two amounts of one currency by value: -1, 0 or 1.
func (a Amount) Cmp(b Amount) int {
	switch x, y := a.MinorUnits(), b.MinorUnits(); {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

// Scale returns the amount times num/den, rounded once. den must be above zero.
// Errors: ErrRange.
func (a Amount) Scale(num, den int64, r Rounding) (Amount, error) {
	if den <= 0 {
		return Amount{}, fmt.Errorf("%w: denominator %d", ErrRange, den)
	}
	n := new(big.Int).Mul(big.NewInt(a.MinorUnits()), big.NewInt(num))
	q := r.Divide(n, big.NewInt(den))
	if !q.IsInt64() {
		return Amount{}, fmt.Errorf("%w: %v times %d/%d", ErrRange, a, num, den)
	}
	return Minor(a.Currency(), q.Int64())
}
