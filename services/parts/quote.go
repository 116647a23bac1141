package parts

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"google.golang.org/genproto/googleapis/type/money"
	"google.golang.org/protobuf/types/known/durationpb"

	"onevisit/pricing/price"
	"onevisit/pricing/quote"
	commonv1 "onevisit/proto/onevisit/common/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	"onevisit/services/refuse"
)

// pricedAlone is how many of the likeliest repairs get a price of their own.
const pricedAlone = 5

var items = map[quote.Item]partsv1.QuoteItem{
	quote.CallOut:       partsv1.QuoteItem_QUOTE_ITEM_CALL_OUT,
	quote.Labour:        partsv1.QuoteItem_QUOTE_ITEM_LABOUR,
	quote.Parts:         partsv1.QuoteItem_QUOTE_ITEM_PARTS,
	quote.Extra:         partsv1.QuoteItem_QUOTE_ITEM_SURCHARGE,
	quote.FinalTest:     partsv1.QuoteItem_QUOTE_ITEM_SAFETY_TEST,
	quote.MinimumCharge: partsv1.QuoteItem_QUOTE_ITEM_MINIMUM_CHARGE,
	quote.Tax:           partsv1.QuoteItem_QUOTE_ITEM_TAX,
	quote.CashRounding:  partsv1.QuoteItem_QUOTE_ITEM_ROUNDING,
}

// QuoteRepair quotes a repair of uncertain cause.
func (s *Server) QuoteRepair(_ context.Context, req *partsv1.QuoteRepairRequest) (*partsv1.QuoteRepairResponse, error) {
	if !slices.Contains(s.book.Families(), req.GetFamily()) {
		return nil, refuse.Unknown("family", fmt.Sprintf("the price book has no family %q", req.GetFamily()))
	}
	in := quote.Request{Family: req.GetFamily()}
	for i, o := range req.GetOutcomes() {
		for k, p := range o.GetParts() {
			if _, err := s.book.Part(req.GetFamily(), p.GetPartKind()); err != nil {
				return nil, refuse.Unknown(fmt.Sprintf("outcomes[%d].parts[%d].part_kind", i, k), err.Error())
			}
		}
		in.Outcomes = append(in.Outcomes, s.toOutcome(o))
	}
	q, err := quote.Make(s.book, in)
	if err != nil {
		return nil, err
	}
	out := &partsv1.QuoteRepairResponse{
		Lines: fromLines(q.Likely.Lines), Likely: fromAmount(q.Likely.Total),
		Low: fromAmount(q.Low.Total), High: fromAmount(q.High.Total),
		Expected: fromAmount(q.Expected.Total), ExpectedLines: fromLines(q.Expected.Lines),
		Notes: q.Changes, Validity: durationpb.New(time.Duration(q.ValidDays) * 24 * time.Hour),
	}
	out.Outcomes, err = s.alone(in, req.GetOutcomes())
	return out, err
}

func (s *Server) toOutcome(o *commonv1.RepairOutcome) quote.Outcome {
	r := quote.Repair{
		Fault: o.GetFault(), LabourMinutes: upMinutes(o.GetLabour()),
		Access: o.GetAccessGroup(), AccessMinutes: upMinutes(o.GetAccess()),
	}
	for _, skill := range o.GetSkills() {
		// The book charges one surcharge a visit: the first skill it lists.
		if _, ok := s.book.Surcharges[skill]; ok && r.Skill == "" {
			r.Skill = skill
		}
	}
	for _, p := range o.GetParts() {
		n := 1
		if p.Quantity != nil {
			n = int(p.GetQuantity())
		}
		r.Parts = append(r.Parts, quote.Part{Kind: p.GetPartKind(), Quantity: n, Mark: p.GetMark()})
	}
	return quote.Outcome{Probability: o.GetProbability(), Repairs: []quote.Repair{r}}
}

// upMinutes rounds up to whole minutes: work is charged by the minute begun.
func upMinutes(d *durationpb.Duration) int { return int(math.Ceil(d.AsDuration().Minutes())) }

// alone prices the likeliest outcomes one by one.
func (s *Server) alone(in quote.Request, outcomes []*commonv1.RepairOutcome) ([]*partsv1.OutcomePrice, error) {
	order := make([]int, len(outcomes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch pa, pb := outcomes[a].GetProbability(), outcomes[b].GetProbability(); {
		case pa > pb:
			return -1
		case pa < pb:
			return 1
		}
		return 0
	})
	var out []*partsv1.OutcomePrice
	for _, i := range order[:min(pricedAlone, len(order))] {
		one := in.Outcomes[i]
		one.Probability = 1
		q, err := quote.Make(s.book, quote.Request{Family: in.Family, Outcomes: []quote.Outcome{one}})
		if err != nil {
			return nil, err
		}
		total, err := sumOf(q.Likely.Lines, quote.Parts, s.book.Currency)
		if err != nil {
			return nil, err
		}
		out = append(out, &partsv1.OutcomePrice{
			Fault: outcomes[i].GetFault(), Label: outcomes[i].GetLabel(), Probability: outcomes[i].GetProbability(),
			Total: fromAmount(q.Likely.Total), Parts: fromAmount(total),
		})
	}
	return out, nil
}

// sumOf adds the lines of one kind.
func sumOf(lines []quote.Line, item quote.Item, currency string) (price.Amount, error) {
	sum, err := price.Minor(currency, 0)
	for _, l := range lines {
		if err == nil && l.Item == item {
			sum, err = sum.Add(l.Amount)
		}
	}
	return sum, err
}

func fromLines(in []quote.Line) []*partsv1.QuoteLine {
	var out []*partsv1.QuoteLine
	for _, l := range in {
		out = append(out, &partsv1.QuoteLine{Item: items[l.Item], Label: l.Label, Amount: fromAmount(l.Amount), PartKind: l.Kind})
	}
	return out
}

func fromAmount(a price.Amount) *money.Money {
	units, nanos := a.UnitsNanos()
	return &money.Money{CurrencyCode: a.Currency(), Units: units, Nanos: nanos}
}
