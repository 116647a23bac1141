package quote

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode/utf8"

	"onevisit/pricing/catalogue"
	"onevisit/pricing/price"
)

// bill adds up what one outcome costs.
func bill(book *catalogue.Book, family string, repairs []Repair) (Bill, error) {
	zero, err := price.Minor(book.Currency, 0)
	if err != nil {
		return Bill{}, err
	}
	b := Bill{Net: zero, Tax: zero, Total: zero}
	add := func(l Line) {
		if err != nil {
			return
		}
		b.Lines = append(b.Lines, l)
		if b.Total, err = b.Total.Add(l.Amount); err == nil && l.Item < Tax {
			b.Net = b.Total
		}
	}
	label := "Call-out with travel"
	if book.IncludedMinutes > 0 {
		label = fmt.Sprintf("Call-out with travel and the first %d minutes", book.IncludedMinutes)
	}
	add(Line{Item: CallOut, Label: label, Amount: book.CallOut})
	minutes, merr := labourMinutes(repairs)
	if merr != nil {
		return Bill{}, merr
	}
	if charged := max(0, minutes-book.IncludedMinutes); charged > 0 {
		amount, serr := book.LabourPerHour.Scale(int64(charged), 60, book.Rounding)
		if serr != nil {
			return Bill{}, serr
		}
		add(Line{Item: Labour, Label: fmt.Sprintf("Labour, %d minutes", charged), Minutes: charged, Amount: amount})
	}
	lines, perr := partLines(book, family, repairs)
	if perr != nil {
		return Bill{}, perr
	}
	for _, l := range lines {
		add(l)
	}
	for _, l := range extraLines(book, repairs) {
		add(l)
	}
	if len(repairs) > 0 && book.FinalTestMinutes > 0 {
		amount, serr := book.LabourPerHour.Scale(int64(book.FinalTestMinutes), 60, book.Rounding)
		if serr != nil {
			return Bill{}, serr
		}
		add(Line{Item: FinalTest, Label: fmt.Sprintf("Final electrical safety test and record, %d minutes", book.FinalTestMinutes),
			Minutes: book.FinalTestMinutes, Amount: amount})
	}
	if err == nil && b.Net.Cmp(book.Minimum) < 0 {
		var up price.Amount
		if up, err = book.Minimum.Sub(b.Net); err == nil {
			add(Line{Item: MinimumCharge, Label: "Up to the minimum charge", Amount: up})
		}
	}
	if err != nil {
		return Bill{}, err
	}
	for _, r := range repairs {
		b.Faults = append(b.Faults, r.Fault)
	}
	return b, finish(book, &b, add, &err)
}

// finish adds tax and cash rounding.
func finish(book *catalogue.Book, b *Bill, add func(Line), err *error) error {
	if b.Tax, *err = b.Net.Scale(int64(book.TaxRate), 1_000_000, book.Rounding); *err != nil {
		return *err
	}
	if book.TaxRate > 0 {
		add(Line{Item: Tax, Label: taxLabel(book), Amount: b.Tax})
	}
	if off := cashOff(b.Total.MinorUnits(), book); off != 0 && *err == nil {
		var amount price.Amount
		if amount, *err = price.Minor(book.Currency, off); *err == nil {
			add(Line{Item: CashRounding, Label: "Rounding", Amount: amount})
		}
	}
	return *err
}

func taxLabel(book *catalogue.Book) string {
	whole := new(big.Rat).SetFrac64(int64(book.TaxRate), 10_000)
	text := strings.TrimRight(strings.TrimRight(whole.FloatString(4), "0"), ".")
	return strings.TrimSpace(fmt.Sprintf("%s %s %%", book.TaxName, text))
}

// cashOff is what brings a total to the nearest multiple of the cash step.
func cashOff(total int64, book *catalogue.Book) int64 {
	if book.CashStep <= 1 {
		return 0
	}
	steps := book.Rounding.Divide(big.NewInt(total), big.NewInt(book.CashStep))
	return steps.Int64()*book.CashStep - total
}

// maxMinutes and maxQuantity bound one repair, so that no sum can overflow.
const (
	maxMinutes  = 100_000
	maxQuantity = 10_000
)

// labourMinutes adds the work and opens each access group once.
func labourMinutes(repairs []Repair) (int, error) {
	total := 0
	access := map[string]int{}
	for _, r := range repairs {
		if r.LabourMinutes < 0 || r.AccessMinutes < 0 || r.LabourMinutes > maxMinutes || r.AccessMinutes > maxMinutes {
			return 0, fmt.Errorf("%w: minutes of %q outside 0 to %d", ErrOutcome, r.Fault, maxMinutes)
		}
		total += r.LabourMinutes
		if r.Access != "" {
			access[r.Access] = max(access[r.Access], r.AccessMinutes)
		}
	}
	for _, m := range access {
		total += m
	}
	return total, nil
}

func partLines(book *catalogue.Book, family string, repairs []Repair) ([]Line, error) {
	var lines []Line
	for _, r := range repairs {
		for _, p := range r.Parts {
			if p.Quantity <= 0 || p.Quantity > maxQuantity {
				return nil, fmt.Errorf("%w: quantity %d of %q", ErrOutcome, p.Quantity, p.Kind)
			}
			listed, err := book.Part(family, p.Kind)
			if err != nil {
				return nil, err
			}
			amount, err := listed.Typical.Scale(int64(p.Quantity), 1, book.Rounding)
			if err != nil {
				return nil, err
			}
			lines = append(lines, Line{Item: Parts, Label: partLabel(p), Kind: p.Kind, Quantity: p.Quantity, Amount: amount})
		}
	}
	return lines, nil
}

func plainName(kind string) string { return strings.ReplaceAll(kind, "_", " ") }

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}

func partLabel(p Part) string {
	label := capital(plainName(p.Kind))
	if p.Mark != "" {
		label += ", " + p.Mark
	}
	return label
}

// extraLines charges each licensed skill once a visit, in order of first use.
func extraLines(book *catalogue.Book, repairs []Repair) []Line {
	var lines []Line
	var done []string
	for _, r := range repairs {
		s, ok := book.Surcharges[r.Skill]
		if ok && !slices.Contains(done, r.Skill) {
			done = append(done, r.Skill)
			lines = append(lines, Line{Item: Extra, Label: capital(s.Label), Amount: s.Amount})
		}
	}
	return lines
}

// expected is the weighted mean. The total is rounded once; the lines are cut
// down and the minor units left over go to the lines with the greatest
// remainders, so that they sum to the total.
func expected(book *catalogue.Book, bills []Bill, weights []int64) (Bill, error) {
	var sums [items]big.Int
	total := new(big.Int)
	for i, b := range bills {
		w := big.NewInt(weights[i])
		for _, l := range b.Lines {
			x := new(big.Int).Mul(w, big.NewInt(l.Amount.MinorUnits()))
			sums[l.Item].Add(&sums[l.Item], x)
			total.Add(total, x)
		}
	}
	unit := big.NewInt(whole)
	left := book.Rounding.Divide(total, unit)
	var cents [items]int64
	var rests [items]*big.Int
	for i := range sums {
		q, rest := new(big.Int).DivMod(&sums[i], unit, new(big.Int)) // floor, also below zero
		cents[i], rests[i] = q.Int64(), rest
		left.Sub(left, q)
	}
	byRest := make([]int, items)
	for i := range byRest {
		byRest[i] = i
	}
	slices.SortStableFunc(byRest, func(a, b int) int { return rests[b].Cmp(rests[a]) })
	for i := int64(0); i < left.Int64(); i++ {
		cents[byRest[i]]++
	}
	return meanBill(book, cents)
}

func meanBill(book *catalogue.Book, cents [items]int64) (Bill, error) {
	zero, err := price.Minor(book.Currency, 0)
	if err != nil {
		return Bill{}, err
	}
	b := Bill{Net: zero, Tax: zero, Total: zero, Probability: 1}
	labels := [items]string{"Call-out", "Labour, on average", "Parts, on average", "Licensed work, on average",
		"Final electrical safety test", "Up to the minimum charge", taxLabel(book), "Rounding"}
	for i := range items {
		if cents[i] == 0 {
			continue
		}
		a, err := price.Minor(book.Currency, cents[i])
		if err != nil {
			return Bill{}, err
		}
		b.Lines = append(b.Lines, Line{Item: i, Label: labels[i], Amount: a})
		if b.Total, err = b.Total.Add(a); err != nil {
			return Bill{}, err
		}
		switch {
		case i < Tax:
			b.Net = b.Total
		case i == Tax:
			b.Tax = a
		}
	}
	return b, nil
}

// changes says in words what the range rests on.
func changes(book *catalogue.Book, family string, q Quote) ([]string, error) {
	var out []string
	if q.Low.Total.Cmp(q.High.Total) != 0 {
		out = append(out, fmt.Sprintf("Another fault found on site: between %v and %v in eight visits of ten.", q.Low.Total, q.High.Total))
	}
	for _, l := range q.Likely.Lines {
		if l.Item != Parts {
			continue
		}
		p, err := book.Part(family, l.Kind)
		if err != nil {
			return nil, err
		}
		if p.Low.Cmp(p.High) != 0 {
			out = append(out, fmt.Sprintf("The exact type of %s: %v to %v each.", plainName(l.Kind), p.Low, p.High))
		}
	}
	return append(out, "A machine that is built in, stacked or hard to reach takes longer: say so when booking.",
		"A part that must be ordered needs a second visit."), nil
}
