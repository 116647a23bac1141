package quote_test

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"
	"testing/fstest"

	"onevisit/pricing/catalogue"
	"onevisit/pricing/quote"
	"pgregory.net/rapid"
)

var capacitor = quote.Repair{Fault: "capacitor_low", Parts: []quote.Part{{Kind: "run_capacitor", Quantity: 1, Mark: "8 µF 450 V"}}, LabourMinutes: 25}

// TestMake_CapacitorByHand: 95.00 + (25-15)/60·100 + 18.00 + 10/60·100 = 146.34
// with both times rounded half up; 8.5 % of it is 12.4389, so 158.78 in all.
func TestMake_CapacitorByHand(t *testing.T) {
	q, err := quote.Make(catalogue.Default(), quote.Request{Family: "tumble_dryer",
		Outcomes: []quote.Outcome{{Probability: 1, Repairs: []quote.Repair{capacitor}}}})
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range []quote.Bill{q.Expected, q.Low, q.High, q.Likely} {
		if b.Net.Number() != "146.34" || b.Tax.Number() != "12.44" || b.Total.Number() != "158.78" {
			t.Errorf("net %v, tax %v, total %v", b.Net, b.Tax, b.Total)
		}
	}
	want := []string{"call-out 95.00", "labour 16.67", "parts 18.00", "final safety test 16.67", "tax 12.44"}
	for i, l := range q.Likely.Lines {
		if got := fmt.Sprintf("%v %s", l.Item, l.Amount.Number()); i >= len(want) || got != want[i] {
			t.Errorf("line %d: %s (%s)", i, got, l.Label)
		}
	}
	if q.ValidDays != 14 || len(q.Changes) == 0 || q.Currency != "USD" {
		t.Errorf("valid %d days, changes %v, %s", q.ValidDays, q.Changes, q.Currency)
	}
}

// TestMake_CapacitorPartLine: 10 to 30 dollars (common practice, no source).
func TestMake_CapacitorPartLine(t *testing.T) {
	for _, family := range []string{"tumble_dryer", "washing_machine"} {
		q, err := quote.Make(catalogue.Default(), quote.Request{Family: family, Outcomes: []quote.Outcome{{Probability: 1, Repairs: []quote.Repair{capacitor}}}})
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range q.Likely.Lines {
			if l.Item == quote.Parts && (l.Amount.MinorUnits() < 1000 || l.Amount.MinorUnits() > 3000) {
				t.Errorf("%s: part line %v", family, l.Amount)
			}
		}
	}
}

// TestMake_AccessOnce: two repairs behind one panel pay the longer opening once.
func TestMake_AccessOnce(t *testing.T) {
	repair := func(access string, minutes int) quote.Repair {
		return quote.Repair{LabourMinutes: 30, Access: access, AccessMinutes: minutes}
	}
	for _, c := range []struct {
		repairs []quote.Repair
		minutes int // beyond the 15 of the call-out
	}{
		{[]quote.Repair{repair("X1", 12)}, 27},
		{[]quote.Repair{repair("X1", 12), repair("X1", 10)}, 57},
		{[]quote.Repair{repair("X1", 12), repair("X2", 10)}, 67},
		{[]quote.Repair{repair("", 12)}, 15},
	} {
		q, err := quote.Make(catalogue.Default(), quote.Request{Family: "tumble_dryer", Outcomes: []quote.Outcome{{Probability: 1, Repairs: c.repairs}}})
		if err != nil || q.Likely.Lines[1].Minutes != c.minutes {
			t.Errorf("%v: %+v, %v; want %d minutes", c.repairs, q.Likely.Lines[1], err, c.minutes)
		}
	}
}

func TestMake_SurchargeOnce(t *testing.T) {
	gas := quote.Repair{LabourMinutes: 20, Skill: "gas"}
	q, err := quote.Make(catalogue.Default(), quote.Request{Family: "tumble_dryer", Outcomes: []quote.Outcome{{Probability: 1, Repairs: []quote.Repair{gas, gas, {Skill: "electrical"}}}}})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, l := range q.Likely.Lines {
		if l.Item == quote.Extra {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d surcharge lines, want 1", n)
	}
}

func TestMake_NothingFound(t *testing.T) {
	q, err := quote.Make(catalogue.Default(), quote.Request{Family: "tumble_dryer", Outcomes: []quote.Outcome{{Probability: 0.05, Repairs: []quote.Repair{capacitor}}}})
	if err != nil || q.Low.Total.Number() != "103.08" || q.High.Total.Number() != "103.08" || q.Likely.Faults != nil {
		t.Errorf("low %v, high %v, likely %v, %v; want the call-out with tax", q.Low.Total, q.High.Total, q.Likely.Faults, err)
	}
}

func TestMake_Errors(t *testing.T) {
	one := func(p float64, r quote.Repair) quote.Request {
		return quote.Request{Family: "tumble_dryer", Outcomes: []quote.Outcome{{Probability: p, Repairs: []quote.Repair{r}}}}
	}
	for _, c := range []struct {
		name string
		r    quote.Request
		want error
	}{
		{"none", quote.Request{Family: "tumble_dryer"}, quote.ErrOutcome},
		{"NaN", one(math.NaN(), capacitor), quote.ErrProbability},
		{"below zero", one(-0.1, capacitor), quote.ErrProbability},
		{"above one", one(1.1, capacitor), quote.ErrProbability},
		{"sum above one", quote.Request{Family: "tumble_dryer", Outcomes: []quote.Outcome{{Probability: 0.6}, {Probability: 0.6}}}, quote.ErrProbability},
		{"minutes", one(1, quote.Repair{LabourMinutes: -1}), quote.ErrOutcome},
		{"quantity", one(1, quote.Repair{Parts: []quote.Part{{Kind: "lamp"}}}), quote.ErrOutcome},
		{"part", one(1, quote.Repair{Parts: []quote.Part{{Kind: "sail", Quantity: 1}}}), catalogue.ErrPart},
		{"family", quote.Request{Family: "boat", Outcomes: []quote.Outcome{{Probability: 1, Repairs: []quote.Repair{capacitor}}}}, catalogue.ErrPart},
	} {
		if _, err := quote.Make(catalogue.Default(), c.r); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

// drawBook makes a price book with any rounding, tax, cash step and a currency
// of 0, 2 or 3 decimals.
func drawBook(t *rapid.T) *catalogue.Book {
	currency := rapid.SampledFrom([]string{"USD", "JPY", "BHD"}).Draw(t, "currency")
	amount := func(name string) string { return fmt.Sprint(rapid.IntRange(0, 300).Draw(t, name)) }
	low := rapid.IntRange(0, 90).Draw(t, "price")
	text := fmt.Sprintf("format: 1\ncurrency: %s\ntax: {name: tax, percent: %q}\nlabour_per_hour: %q\ncall_out: {amount: %q, included_minutes: %d}\n"+
		"minimum_charge: %q\nfinal_test_minutes: %d\nrounding: {rule: %s, cash_step: %d}\nvalid_days: 9\nsurcharges: {gas: {amount: %q, label: gas work}}\n"+
		"parts: {dryer: {a: {low: \"1\", typical: \"%d\", high: \"999\", source: test}, b: {low: \"1\", typical: \"%d\", high: \"999\", source: test}}}\n",
		currency, rapid.SampledFrom([]string{"0", "8.5", "20", "7.125"}).Draw(t, "tax"), amount("labour"), amount("call-out"),
		rapid.IntRange(0, 30).Draw(t, "included"), amount("minimum"), rapid.IntRange(0, 15).Draw(t, "test"),
		rapid.SampledFrom([]string{"half_even", "half_up", "up", "down"}).Draw(t, "rule"), rapid.SampledFrom([]int{1, 5, 10, 7}).Draw(t, "step"),
		amount("gas"), low+1, low+1+rapid.IntRange(0, 200).Draw(t, "more"))
	b, err := catalogue.Load(fstest.MapFS{"book.yaml": {Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func drawRepair(t *rapid.T) quote.Repair {
	r := quote.Repair{LabourMinutes: rapid.IntRange(0, 90).Draw(t, "minutes"), Access: rapid.SampledFrom([]string{"", "X1", "X2"}).Draw(t, "access"),
		AccessMinutes: rapid.IntRange(0, 30).Draw(t, "opening"), Skill: rapid.SampledFrom([]string{"", "gas"}).Draw(t, "skill")}
	for _, kind := range []string{"a", "b"} {
		if n := rapid.IntRange(0, 2).Draw(t, kind); n > 0 {
			r.Parts = append(r.Parts, quote.Part{Kind: kind, Quantity: n})
		}
	}
	return r
}

// TestMake_LinesSumToTotal: to the minor unit, under every rounding rule, and
// the total is a multiple of the cash step on every real bill.
func TestMake_LinesSumToTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		book := drawBook(t)
		n := rapid.IntRange(1, 5).Draw(t, "outcomes")
		r := quote.Request{Family: "dryer"}
		for range n {
			o := quote.Outcome{Probability: rapid.Float64Range(0, 1/float64(n)).Draw(t, "p")}
			for range rapid.IntRange(0, 3).Draw(t, "repairs") {
				o.Repairs = append(o.Repairs, drawRepair(t))
			}
			r.Outcomes = append(r.Outcomes, o)
		}
		q, err := quote.Make(book, r)
		if err != nil {
			t.Fatal(err)
		}
		for name, b := range map[string]quote.Bill{"expected": q.Expected, "low": q.Low, "high": q.High, "likely": q.Likely} {
			var sum, net int64
			for _, l := range b.Lines {
				sum += l.Amount.MinorUnits()
				if l.Item < quote.Tax {
					net += l.Amount.MinorUnits()
				}
			}
			if sum != b.Total.MinorUnits() || net != b.Net.MinorUnits() {
				t.Fatalf("%s: lines sum to %d (net %d), total %v, net %v\n%+v", name, sum, net, b.Total, b.Net, b.Lines)
			}
			if name != "expected" && b.Total.MinorUnits()%book.CashStep != 0 {
				t.Fatalf("%s: %v is no multiple of %d", name, b.Total, book.CashStep)
			}
		}
		if q.Low.Total.Cmp(q.High.Total) > 0 {
			t.Fatalf("low %v above high %v", q.Low.Total, q.High.Total)
		}
	})
}

// TestMake_BruteForce recomputes expected value and quantiles of independent
// faults by walking all sets, with exact fractions for the sums.
func TestMake_BruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		book := drawBook(t)
		var faults []quote.Fault
		for range rapid.IntRange(1, 6).Draw(t, "faults") {
			// Twentieths, away from the quantiles' edges after rounding to 10^-9.
			faults = append(faults, quote.Fault{Probability: float64(rapid.IntRange(0, 20).Draw(t, "p")) / 20, Repair: drawRepair(t)})
		}
		outcomes, dropped, err := quote.Independent(faults)
		if err != nil || dropped != 0 {
			t.Fatal(err, dropped)
		}
		q, err := quote.Make(book, quote.Request{Family: "dryer", Outcomes: outcomes})
		if err != nil {
			t.Fatal(err)
		}
		mean, mass := new(big.Rat), map[int64]*big.Rat{}
		for set := range 1 << len(faults) {
			p, repairs := big.NewRat(1, 1), []quote.Repair(nil)
			for i, f := range faults {
				x := big.NewRat(int64(math.Round(f.Probability*20)), 20)
				if set>>i&1 == 1 {
					repairs = append(repairs, f.Repair)
				} else {
					x.Sub(big.NewRat(1, 1), x)
				}
				p.Mul(p, x)
			}
			total := slowTotal(book, repairs)
			if mass[total] == nil {
				mass[total] = new(big.Rat)
			}
			mass[total].Add(mass[total], p)
			mean.Add(mean, new(big.Rat).Mul(p, new(big.Rat).SetInt64(total)))
		}
		// Rounding of the weights moves the mean by less than totals·2^n·10^-9.
		got := new(big.Rat).Sub(new(big.Rat).SetInt64(q.Expected.Total.MinorUnits()), mean)
		if got.Abs(got).Cmp(big.NewRat(101, 100)) > 0 {
			t.Fatalf("expected %v, exact %s", q.Expected.Total, mean.FloatString(3))
		}
		for _, c := range []struct {
			name string
			q    *big.Rat
			got  int64
		}{{"low", big.NewRat(1, 10), q.Low.Total.MinorUnits()}, {"high", big.NewRat(9, 10), q.High.Total.MinorUnits()}} {
			below, upTo := new(big.Rat), new(big.Rat)
			for total, p := range mass {
				if total < c.got {
					below.Add(below, p)
				}
				if total <= c.got {
					upTo.Add(upTo, p)
				}
			}
			eps := big.NewRat(1, 10_000_000) // 2^6 weights, each rounded by half of 10^-9
			if below.Cmp(new(big.Rat).Add(c.q, eps)) >= 0 || upTo.Cmp(new(big.Rat).Sub(c.q, eps)) < 0 {
				t.Fatalf("%s: %d has %s below and %s up to it", c.name, c.got, below.FloatString(6), upTo.FloatString(6))
			}
		}
	})
}

// slowTotal is a second, plain way to a bill's total.
func slowTotal(b *catalogue.Book, repairs []quote.Repair) int64 {
	round := func(n, d int64) int64 { return b.Rounding.Divide(big.NewInt(n), big.NewInt(d)).Int64() }
	minutes, net := 0, b.CallOut.MinorUnits()
	opened, gas := map[string]int{}, false
	for _, r := range repairs {
		minutes += r.LabourMinutes
		if r.Access != "" && r.AccessMinutes > opened[r.Access] {
			opened[r.Access] = r.AccessMinutes
		}
		if r.Skill == "gas" && !gas {
			gas = true
			net += b.Surcharges["gas"].Amount.MinorUnits()
		}
		for _, p := range r.Parts {
			listed, _ := b.Part("dryer", p.Kind)
			net += int64(p.Quantity) * listed.Typical.MinorUnits()
		}
	}
	for _, m := range opened {
		minutes += m
	}
	if minutes > b.IncludedMinutes {
		net += round(b.LabourPerHour.MinorUnits()*int64(minutes-b.IncludedMinutes), 60)
	}
	if len(repairs) > 0 {
		net += round(b.LabourPerHour.MinorUnits()*int64(b.FinalTestMinutes), 60)
	}
	net = max(net, b.Minimum.MinorUnits())
	total := net + round(net*int64(b.TaxRate), 1_000_000)
	return round(total, b.CashStep) * b.CashStep
}

func TestIndependent_DropsTheUnlikely(t *testing.T) {
	var faults []quote.Fault
	for i := range 14 {
		faults = append(faults, quote.Fault{Probability: float64(i+1) / 100})
	}
	outcomes, dropped, err := quote.Independent(faults)
	sum := 0.0
	for _, o := range outcomes {
		sum += o.Probability
	}
	if err != nil || len(outcomes) != 1<<quote.MaxIndependent || math.Abs(dropped-0.03) > 1e-12 || math.Abs(sum-1) > 1e-9 {
		t.Errorf("%d outcomes of %v, dropped %v, %v", len(outcomes), sum, dropped, err)
	}
	if _, _, err := quote.Independent([]quote.Fault{{Probability: 2}}); !errors.Is(err, quote.ErrProbability) {
		t.Errorf("probability 2: %v", err)
	}
}

func ExampleMake() {
	belt := quote.Repair{Fault: "belt_broken", Parts: []quote.Part{{Kind: "drive_belt", Quantity: 1}}, LabourMinutes: 40}
	q, _ := quote.Make(catalogue.Default(), quote.Request{Family: "tumble_dryer", Outcomes: []quote.Outcome{
		{Probability: 0.9, Repairs: []quote.Repair{capacitor}}, {Probability: 0.1, Repairs: []quote.Repair{belt}}}})
	fmt.Println(q.Low.Total, "to", q.High.Total, "expected", q.Expected.Total)
	for _, l := range q.Likely.Lines {
		fmt.Println(strings.TrimSpace(l.Label), l.Amount.Number())
	}
	// Output:
	// USD 158.78 to USD 158.78 expected USD 162.79
	// Call-out with travel and the first 15 minutes 95.00
	// Labour, 10 minutes 16.67
	// Run capacitor, 8 µF 450 V 18.00
	// Final electrical safety test and record, 10 minutes 16.67
	// sales tax 8.5 % 12.44
}

func BenchmarkMake(b *testing.B) {
	book := catalogue.Default()
	var faults []quote.Fault
	for i := range 8 {
		r := capacitor
		r.LabourMinutes += i
		faults = append(faults, quote.Fault{Probability: 0.1, Repair: r})
	}
	outcomes, _, _ := quote.Independent(faults)
	for b.Loop() {
		if _, err := quote.Make(book, quote.Request{Family: "tumble_dryer", Outcomes: outcomes}); err != nil {
			b.Fatal(err)
		}
	}
}
