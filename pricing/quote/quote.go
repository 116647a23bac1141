package quote

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"onevisit/pricing/catalogue"
	"onevisit/pricing/price"
)

// Errors of Make.
var (
	// ErrProbability means a probability outside 0 to 1, not a number, or a sum above 1.
	ErrProbability = errors.New("quote: probability")
	// ErrOutcome means negative minutes or quantity, or no outcome at all.
	ErrOutcome = errors.New("quote: outcome")
)

// Part is what a repair fits.
type Part struct {
	// Kind is the part kind's code.
	Kind string
	// Quantity is how many, above zero.
	Quantity int
	// Mark is the rating to print on the quote, where known.
	Mark string
}

// Repair is the work for one fault.
type Repair struct {
	// Fault is the fault's code, for the reader of the quote.
	Fault string
	Parts []Part
	// LabourMinutes is the work once the machine is open.
	LabourMinutes int
	// Access is the group of panels to open, AccessMinutes the time for it.
	// Repairs of one outcome with the same group open it once, at the longest
	// time any of them states. Empty means nothing to open.
	Access        string
	AccessMinutes int
	// Skill is a skill code the price book may have a surcharge for.
	Skill string
}

// Outcome is one thing the visit may turn out to be: the faults that are really
// there. Outcomes of a request exclude each other.
type Outcome struct {
	Probability float64
	Repairs     []Repair
}

// Request asks for a quote. Probabilities sum to at most 1; what is left is a
// visit that finds nothing to repair.
type Request struct {
	Family   string
	Outcomes []Outcome
}

// Item is what a line is for.
type Item uint8

// Items in the order lines are printed.
const (
	CallOut Item = iota
	Labour
	Parts
	Extra
	FinalTest
	MinimumCharge
	Tax
	CashRounding
	items // how many there are
)

// String is the item's name.
func (i Item) String() string {
	return [...]string{"call-out", "labour", "parts", "surcharge", "final safety test", "minimum charge", "tax", "rounding", ""}[i%9]
}

// Line is one line of a bill. Quantity is 0 where counting means nothing.
type Line struct {
	Item  Item
	Label string
	// Kind is the part kind's code on a Parts line of a real bill, else empty.
	Kind     string
	Quantity int
	Minutes  int
	Amount   price.Amount
}

// Bill is lines and their sum. Total is always exactly the sum of Lines.
type Bill struct {
	Lines []Line
	// Net is before tax and cash rounding.
	Net, Tax, Total price.Amount
	// Faults are the codes of what is repaired, nil for the expected bill and
	// for a visit that finds nothing.
	Faults []string
	// Probability of this outcome, 1 for the expected bill.
	Probability float64
}

// Quote is a price with its range.
type Quote struct {
	Currency string
	// Expected is the mean over all outcomes. It is no bill anybody gets: its
	// lines are the mean of each kind of line.
	Expected Bill
	// Low and High are the real bills at the 10 % and the 90 % quantile: the
	// smallest total that at least a tenth, nine tenths, of the chance lies at
	// or below. Likely is the most probable outcome's bill.
	Low, High, Likely Bill
	// ValidDays is how long the price holds.
	ValidDays int
	// Changes says what would make the bill another one, for the customer.
	Changes []string
}

// Quantiles of Low and High, in percent.
const (
	lowPercent  = 10
	highPercent = 90
)

// whole is the sum of all weights: probabilities in parts per billion.
const whole = 1_000_000_000

// Make computes a quote from a price book.
//
// Errors: ErrProbability, ErrOutcome, catalogue.ErrPart for a part the book
// does not price, price.ErrRange. Cost O(n log n) in the number of outcomes.
func Make(book *catalogue.Book, r Request) (Quote, error) {
	weights, err := weigh(r.Outcomes)
	if err != nil {
		return Quote{}, err
	}
	bills := make([]Bill, 0, len(r.Outcomes)+1)
	for _, o := range r.Outcomes {
		b, err := bill(book, r.Family, o.Repairs)
		if err != nil {
			return Quote{}, err
		}
		b.Probability = o.Probability
		bills = append(bills, b)
	}
	nothing, err := bill(book, r.Family, nil)
	if err != nil {
		return Quote{}, err
	}
	nothing.Probability = float64(weights[len(weights)-1]) / whole
	bills = append(bills, nothing)

	q := Quote{Currency: book.Currency, ValidDays: book.ValidDays}
	if q.Expected, err = expected(book, bills, weights); err != nil {
		return Quote{}, err
	}
	order := make([]int, 0, len(bills))
	for i := range bills {
		if weights[i] > 0 {
			order = append(order, i)
		}
	}
	// Stable and with ties in the caller's order, so that equal input gives
	// equal bills.
	slices.SortStableFunc(order, func(a, b int) int { return bills[a].Total.Cmp(bills[b].Total) })
	q.Low, q.High = bills[quantile(order, weights, lowPercent)], bills[quantile(order, weights, highPercent)]
	q.Likely = bills[slices.MaxFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(weights[a], weights[b]), cmp.Compare(b, a)) // the first of equals
	})]
	q.Changes, err = changes(book, r.Family, q)
	return q, err
}

// quantile returns the first outcome at which the cumulated weight reaches
// percent of the whole.
func quantile(order []int, weights []int64, percent int64) int {
	var sum int64
	for _, i := range order {
		if sum += weights[i]; sum*100 >= percent*whole {
			return i
		}
	}
	return order[len(order)-1]
}

// weigh rounds probabilities to parts per billion, once; the last weight is
// what is left for a visit that finds nothing. The weights sum to whole.
func weigh(outcomes []Outcome) ([]int64, error) {
	if len(outcomes) == 0 {
		return nil, fmt.Errorf("%w: none given", ErrOutcome)
	}
	weights := make([]int64, len(outcomes)+1)
	left, sum := int64(whole), 0.0
	for i, o := range outcomes {
		if math.IsNaN(o.Probability) || o.Probability < 0 || o.Probability > 1+1e-9 {
			return nil, fmt.Errorf("%w: outcome %d has %v", ErrProbability, i, o.Probability)
		}
		sum += o.Probability
		weights[i] = int64(math.Round(o.Probability * whole))
		left -= weights[i]
	}
	if sum > 1+1e-6 {
		return nil, fmt.Errorf("%w: they sum to %v", ErrProbability, sum)
	}
	if left < 0 { // rounding only: taken from the largest, where it is least felt
		at := 0
		for i, w := range weights {
			if w > weights[at] {
				at = i
			}
		}
		weights[at] += left
		left = 0
	}
	weights[len(outcomes)] = left
	return weights, nil
}
