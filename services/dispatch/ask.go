package dispatch

import (
	"context"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"

	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	partsv1 "onevisit/proto/onevisit/parts/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/refuse"
)

// likely is from which probability on a piece of phone advice is tried before a
// visit: more likely than not to save it. aQuarter is enough where the visit
// would bring no part.
const (
	likely   = 0.5
	aQuarter = 0.25
)

// outside turns the failure of another service into our own answer. What the
// caller got wrong is passed on under the field it came from; everything else
// means that the service is away, and can be tried again.
func outside(service string, err error) error {
	st := status.Convert(err)
	switch st.Code() {
	case codes.OK:
		return nil
	case codes.InvalidArgument, codes.NotFound:
		return refuse.With(st.Code(), "REFUSED_BY_"+service, st.Message())
	case codes.DeadlineExceeded, codes.Canceled:
		return st.Err()
	default:
		return refuse.With(codes.Unavailable, service+"_AWAY", "the service that is asked on the way is away; nothing was booked")
	}
}

// ratings adds to the appliance the marks the catalogue knows of its model.
// Marks given in the request outrank them.
func (s *Server) ratings(ctx context.Context, a *commonv1.Appliance) error {
	if a.GetModel() == "" {
		return nil
	}
	got, err := s.Parts.LookUpRatings(ctx, &partsv1.LookUpRatingsRequest{Family: a.GetFamily(), Model: a.GetModel()})
	if err != nil {
		return outside("PARTS", err)
	}
	known := make(map[string]bool, len(a.GetKnownRatings()))
	for _, r := range a.GetKnownRatings() {
		known[r.GetPartKind()] = true
	}
	for _, r := range got.GetRatings() {
		if !known[r.GetPartKind()] {
			a.KnownRatings = append(a.KnownRatings, r)
		}
	}
	return nil
}

// assess asks triage about the case. With a requirement a person has decided,
// an appliance triage does not know is no reason to refuse: nil is returned.
func (s *Server) assess(ctx context.Context, c *dispatchv1.Job) (*triagev1.AssessResponse, error) {
	if c.GetRequirement() != nil && c.GetCustomerWords() == "" {
		return nil, nil
	}
	got, err := s.Triage.Assess(ctx, assessRequest(c))
	if c.GetRequirement() != nil && (status.Code(err) == codes.NotFound || status.Code(err) == codes.InvalidArgument) {
		return nil, nil
	}
	if err != nil {
		return nil, outside("TRIAGE", err)
	}
	return got, nil
}

func assessRequest(c *dispatchv1.Job) *triagev1.AssessRequest {
	return &triagev1.AssessRequest{
		Appliance: c.GetAppliance(), Text: c.GetCustomerWords(),
		LanguageCode: c.GetLanguageCode(), Answers: c.GetAnswers(),
	}
}

// requirement says what the visit takes by triage's judgement.
//
// A part whose mark is not known is wanted in the marks usual for the family,
// each with its share: a van with the four commonest capacitors has a better
// chance than a van with one, and the outcomes say by how much.
func requirement(a *triagev1.AssessResponse) job.Requirement {
	marks := make(map[string][]*triagev1.RatingShare)
	out := job.Requirement{
		Skills: a.GetKit().GetSkills(), Tools: a.GetKit().GetTools(),
		Duration: wholeMinutes(a.GetKit().GetDuration().AsDuration()),
	}
	for _, l := range a.GetKit().GetLines() {
		marks[l.GetPartKind()] = l.GetRatings()
		if len(l.GetRatings()) == 0 {
			out.Parts = append(out.Parts, job.Need{PartKind: l.GetPartKind(), Quantity: 1, Probability: l.GetProbability()})
		}
		for _, r := range l.GetRatings() {
			if r.GetShare() < rare {
				continue
			}
			out.Parts = append(out.Parts, job.Need{PartKind: l.GetPartKind(), Mark: r.GetMark(), Quantity: 1, Probability: l.GetProbability() * r.GetShare()})
		}
	}
	for _, o := range a.GetOutcomes() {
		out.Outcomes = append(out.Outcomes, spread(o, marks)...)
	}
	return out
}

// rare is below which share a usual mark is not worth a place on the list of
// what to carry for one job.
const rare = 0.1

// spread splits an outcome whose part may have several marks into one outcome
// per mark. The share of marks that are none of the usual ones becomes an
// outcome no stock line serves.
func spread(o *commonv1.RepairOutcome, marks map[string][]*triagev1.RatingShare) []job.Outcome {
	whole := job.Outcome{
		Fault: o.GetFault(), Probability: o.GetProbability(),
		Duration: wholeMinutes(o.GetLabour().AsDuration() + o.GetAccess().AsDuration()),
	}
	out := []job.Outcome{whole}
	for _, p := range o.GetParts() {
		shares := marks[p.GetPartKind()]
		if p.GetMark() != "" || len(shares) == 0 {
			for i := range out {
				out[i].Parts = append(out[i].Parts, toNeed(p, 1))
			}
			continue
		}
		var next []job.Outcome
		for _, old := range out {
			left := 1.0
			for _, r := range shares {
				one := old
				one.Probability *= r.GetShare()
				left -= r.GetShare()
				one.Parts = append(append([]job.Need(nil), old.Parts...),
					job.Need{PartKind: p.GetPartKind(), Mark: r.GetMark(), Quantity: quantity(p), Probability: 1})
				next = append(next, one)
			}
			if left > 1e-9 {
				other := old
				other.Probability *= left
				other.Parts = append(append([]job.Need(nil), old.Parts...),
					job.Need{PartKind: p.GetPartKind(), Mark: unusual, Quantity: quantity(p), Probability: 1})
				next = append(next, other)
			}
		}
		out = next
	}
	return out
}

// unusual stands for a mark nobody carries on purpose. The part rules are never
// asked about it.
const unusual = "(another mark)"

// fits asks the part rules, in one call, about all pairs of marks the choice
// may depend on. While the rules are away only equal marks serve; the job says
// so, and can be decided again later.
func (s *Server) fits(ctx context.Context, r offer.Request, c *dispatchv1.Job) (offer.Table, error) {
	var pairs []offer.Pair
	for _, p := range offer.Pairs(r) {
		if p.Need != unusual {
			pairs = append(pairs, p)
		}
	}
	if len(pairs) == 0 {
		return nil, nil
	}
	where := c.GetFitContext()
	if where == nil {
		where = &partsv1.FitContext{}
	}
	where.Family = c.GetAppliance().GetFamily()
	table := make(offer.Table, len(pairs))
	for begin := 0; begin < len(pairs); begin += maxPairs {
		batch := pairs[begin:min(begin+maxPairs, len(pairs))]
		req := &partsv1.BatchCheckFitsRequest{}
		for _, p := range batch {
			req.Pairs = append(req.Pairs, &partsv1.CheckFitRequest{PartKind: p.PartKind, Original: p.Need, Candidate: p.Stock, Context: where})
		}
		got, err := s.Parts.BatchCheckFits(ctx, req)
		if err != nil {
			return nil, outside("PARTS", err)
		}
		for i, v := range got.GetVerdicts() {
			table[batch[i]] = verdicts[v]
		}
	}
	return table, nil
}

// maxPairs is the limit of the contract.
const maxPairs = 20000

var verdicts = map[partsv1.Verdict]offer.Verdict{
	partsv1.Verdict_VERDICT_UNSPECIFIED:          offer.Unknown,
	partsv1.Verdict_VERDICT_FITS:                 offer.Serves,
	partsv1.Verdict_VERDICT_FITS_WITH_CONDITIONS: offer.Serves,
	partsv1.Verdict_VERDICT_DOES_NOT_FIT:         offer.DoesNot,
	partsv1.Verdict_VERDICT_CANNOT_TELL:          offer.Unknown,
}

// quote prices the case. Without outcomes there is nothing to price.
func (s *Server) quote(ctx context.Context, c *dispatchv1.Job) (*partsv1.QuoteRepairResponse, error) {
	outcomes := c.GetOutcomes()
	if r := c.GetRequirement(); r != nil {
		outcomes = []*commonv1.RepairOutcome{{
			Label: "the repair as decided", Probability: 1, Parts: r.GetParts(),
			Labour: durationpb.New(r.GetDuration().AsDuration()), Skills: r.GetSkills(), Tools: r.GetTools(),
		}}
	}
	if len(outcomes) == 0 {
		return nil, nil
	}
	got, err := s.Parts.QuoteRepair(ctx, &partsv1.QuoteRepairRequest{Family: c.GetAppliance().GetFamily(), Outcomes: outcomes})
	if code := status.Code(err); c.GetRequirement() != nil && (code == codes.NotFound || code == codes.InvalidArgument) {
		return nil, nil // a part kind the price book does not know is no reason to refuse a visit a person decided on
	}
	if err != nil {
		return nil, outside("PARTS", err)
	}
	return got, nil
}
