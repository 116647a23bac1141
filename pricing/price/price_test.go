package price_test

import (
	"errors"
	"math/big"
	"testing"

	"onevisit/pricing/price"
	"pgregory.net/rapid"
)

func mustParse(t *testing.T, code, text string) price.Amount {
	t.Helper()
	a, err := price.Parse(code, text)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Minor units after ISO 4217: dollar 2 decimals, yen 0, Bahraini dinar 3.
func TestParse_MinorUnits(t *testing.T) {
	for _, c := range []struct {
		code, text string
		want       int64
		err        error
	}{
		{"USD", "18.50", 1850, nil},
		{"USD", "18.5", 1850, nil},
		{"USD", "18.500", 1850, nil},
		{"JPY", "1850", 1850, nil},
		{"BHD", "1.850", 1850, nil},
		{"USD", "18.505", 0, price.ErrAmount},
		{"JPY", "18.5", 0, price.ErrAmount},
		{"USD", "eighteen", 0, price.ErrAmount},
		{"XYZ", "1", 0, price.ErrCurrency},
		{"", "1", 0, price.ErrCurrency},
		{"XXX", "1", 0, price.ErrCurrency},
	} {
		got, err := price.Parse(c.code, c.text)
		if !errors.Is(err, c.err) || err == nil && got.MinorUnits() != c.want {
			t.Errorf("Parse(%s, %q) = %v, %v; want %d, %v", c.code, c.text, got, err, c.want, c.err)
		}
	}
}

// Rounding of 25 minutes at 100.00 and of exact halves, by hand.
func TestScale_Rounding(t *testing.T) {
	for _, c := range []struct {
		text     string
		num, den int64
		r        price.Rounding
		want     string
	}{
		{"100.00", 25, 60, price.HalfUp, "41.67"},
		{"100.00", 25, 60, price.Down, "41.66"},
		{"100.00", 20, 60, price.Up, "33.34"},
		{"0.01", 1, 2, price.HalfEven, "0.00"},
		{"0.03", 1, 2, price.HalfEven, "0.02"},
		{"0.01", 1, 2, price.HalfUp, "0.01"},
		{"-0.01", 1, 2, price.HalfUp, "-0.01"},
		{"-0.03", 1, 2, price.Down, "-0.01"},
	} {
		got, err := mustParse(t, "USD", c.text).Scale(c.num, c.den, c.r)
		if err != nil || got.Number() != c.want {
			t.Errorf("%s·%d/%d = %v, %v; want %s", c.text, c.num, c.den, got, err, c.want)
		}
	}
}

// TestDivide_Exact compares with big.Rat: the error is below one unit, at most
// a half for the half rules, and of the right sign for Up and Down.
func TestDivide_Exact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, d := rapid.Int64().Draw(t, "n"), rapid.Int64Range(1, 1<<40).Draw(t, "d")
		r := price.Rounding(rapid.IntRange(0, 3).Draw(t, "rule"))
		q := r.Divide(big.NewInt(n), big.NewInt(d))
		off := new(big.Rat).Sub(new(big.Rat).SetInt(q), new(big.Rat).SetFrac64(n, d))
		size := new(big.Rat).Abs(off)
		away := off.Sign() * big.NewInt(n).Sign() // +1 when moved away from zero
		switch {
		case size.Cmp(big.NewRat(1, 1)) >= 0,
			r <= price.HalfUp && size.Cmp(big.NewRat(1, 2)) > 0,
			r == price.Up && away < 0, r == price.Down && away > 0:
			t.Fatalf("%d/%d by rule %d = %v", n, d, r, q)
		}
	})
}

func TestAdd_Errors(t *testing.T) {
	if _, err := mustParse(t, "USD", "1").Add(mustParse(t, "EUR", "1")); !errors.Is(err, price.ErrCurrency) {
		t.Errorf("two currencies: %v", err)
	}
	if _, err := (price.Amount{}).Add(price.Amount{}); !errors.Is(err, price.ErrCurrency) {
		t.Errorf("zero values: %v", err)
	}
	if u, n := mustParse(t, "USD", "-18.55").UnitsNanos(); u != -18 || n != -550_000_000 {
		t.Errorf("UnitsNanos = %d, %d", u, n)
	}
}
