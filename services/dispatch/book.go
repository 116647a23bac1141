package dispatch

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"

	"go.uber.org/zap"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	commonv1 "onevisit/proto/onevisit/common/v1"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/host"
	"onevisit/services/refuse"
)

// CreateJob books a job.
func (s *Server) CreateJob(ctx context.Context, req *dispatchv1.CreateJobRequest) (*dispatchv1.Job, error) {
	region := regionOf(req.GetParent())
	print, err := fingerprint(req)
	if err != nil {
		return nil, err
	}
	earlier, err := s.Store.JobByRequest(ctx, region, req.GetRequestId())
	switch {
	case err == nil:
		return repeat(earlier, print)
	case !errors.Is(err, job.ErrNotFound):
		return nil, err
	}

	draft, c, err := s.draft(ctx, region, req.GetJob())
	if err != nil {
		return nil, err
	}
	draft.ID, draft.RequestID, draft.Fingerprint = req.GetJobId(), req.GetRequestId(), print
	if draft.ID == "" {
		draft.ID = s.NewID()
	}
	var booked job.Job
	err = again(ctx, func() error {
		change, j, err := s.decide(ctx, draft, c)
		if err != nil {
			return err
		}
		version, err := s.Store.Commit(ctx, region, change)
		if errors.Is(err, job.ErrStale) {
			// Either a technician's record moved, or the job id is taken.
			if _, taken := s.Store.Job(ctx, region, j.ID); taken == nil {
				return existing(err, jobName(region, j.ID))
			}
		}
		j.Version = version
		booked = j
		return err
	})
	var duplicate *job.DuplicateRequest
	if errors.As(err, &duplicate) { // a twin of this request was faster
		earlier, err := s.Store.Job(ctx, region, duplicate.JobID)
		if err != nil {
			return nil, err
		}
		return repeat(earlier, print)
	}
	if err != nil {
		return nil, err
	}
	s.Log.Info("booked", zap.String("job", booked.ID), zap.String("region", region), zap.String("action", string(booked.Action)),
		zap.String("request_id", host.RequestID(ctx)))
	return fromJob(booked)
}

// repeat answers a request id that was served before.
func repeat(earlier job.Job, print string) (*dispatchv1.Job, error) {
	if earlier.Fingerprint != print {
		return nil, refuse.With(codes.AlreadyExists, "REQUEST_ID_REUSED", "this request_id was used for another request")
	}
	return fromJob(earlier)
}

// fingerprint tells a repeated request from another one with the same id.
func fingerprint(req *dispatchv1.CreateJobRequest) (string, error) {
	b, err := proto.MarshalOptions{Deterministic: true}.Marshal(req)
	if err != nil {
		return "", fmt.Errorf("dispatch: fingerprint: %w", err)
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:16]), nil
}

// PreviewJob says what CreateJob would do now.
func (s *Server) PreviewJob(ctx context.Context, req *dispatchv1.PreviewJobRequest) (*dispatchv1.Job, error) {
	draft, c, err := s.draft(ctx, regionOf(req.GetParent()), req.GetJob())
	if err != nil {
		return nil, err
	}
	draft.ID = "preview"
	_, j, err := s.decide(ctx, draft, c)
	if err != nil {
		return nil, err
	}
	out, err := fromJob(j)
	if err != nil {
		return nil, err
	}
	out.Name, out.Etag = "", ""
	return out, nil
}

// draft asks the other services about the job and returns it with what it
// takes, nothing decided. The second result is its case.
func (s *Server) draft(ctx context.Context, region string, in *dispatchv1.Job) (job.Job, *dispatchv1.Job, error) {
	var zero job.Job
	place, err := toPlace(in.GetPlace().GetLocation(), "job.place.location")
	if err != nil {
		return zero, nil, err
	}
	now := s.Now()
	until := toTime(in.GetWaitUntilTime())
	window := toWindow(in.GetWindow())
	if !window.IsZero() && !window.End.After(now) {
		return zero, nil, refuse.Field("job.window.end_time", "IN_THE_PAST", "the window is over already")
	}
	if !window.IsZero() && !until.IsZero() && window.Start.After(until) {
		return zero, nil, refuse.Field("job.wait_until_time", "BEFORE_WINDOW", "the customer cannot wait until the window begins")
	}

	c := &dispatchv1.Job{
		Appliance: proto.CloneOf(in.GetAppliance()), LanguageCode: in.GetLanguageCode(), Answers: in.GetAnswers(),
		CustomerWords: in.GetCustomerWords(), Requirement: in.GetRequirement(), NotedHazards: in.GetNotedHazards(),
		FitContext: in.GetFitContext(), OnlyTechnician: in.GetOnlyTechnician(),
	}
	if name := c.GetOnlyTechnician(); name != "" {
		if _, err := s.technician(ctx, region, strings.TrimPrefix(name, technicianName(region, ""))); err != nil {
			return zero, nil, refuse.Unknown("job.only_technician", "no such technician in the region of the job")
		}
	}
	if err := s.ratings(ctx, c.GetAppliance()); err != nil {
		return zero, nil, err
	}
	assessment, err := s.assess(ctx, c)
	if err != nil {
		return zero, nil, err
	}
	fill(c, assessment)

	j := job.Job{
		Region: region, Place: place, Address: job.Private(in.GetPlace().GetLabel()),
		Customer: job.Private(in.GetCustomerReference()), Words: job.Private(in.GetCustomerWords()),
		Family: c.GetAppliance().GetFamily(), Variant: c.GetAppliance().GetVariant(),
		Window: window, Priority: priority(in.GetPriority(), c.GetHazards()), WaitUntil: until,
		State: job.Created, CreatedAt: now, UpdatedAt: now,
	}
	switch {
	case in.GetRequirement() != nil:
		j.Requirement = explicit(in.GetRequirement())
	default:
		j.Requirement = requirement(assessment)
	}
	if err := j.Requirement.Validate(); err != nil {
		return zero, nil, err
	}
	if c.Quote, err = s.quote(ctx, c); err != nil {
		return zero, nil, err
	}
	c.CustomerWords = "" // the words are kept once, in the record
	if j.Case, err = packCase(c); err != nil {
		return zero, nil, err
	}
	return j, c, nil
}

// fill keeps of the assessment what belongs to the job.
func fill(c *dispatchv1.Job, a *triagev1.AssessResponse) {
	if a == nil {
		return
	}
	c.Hazards, c.Outcomes, c.KnowledgeVersion = a.GetHazards(), a.GetOutcomes(), a.GetKnowledgeVersion()
	c.Disposition, c.NextQuestion = a.GetDisposition(), a.GetNextQuestion()
	if worthTrying(c, a) {
		c.PhoneAdvice = a.GetPhoneAdvice()
	}
}

// worthTrying reports whether the phone advice is to be tried before a visit is
// sent. When a person has decided that no part is needed, its chance is that
// among what takes none, and a small one will do: two minutes on the phone
// against a visit that brings nothing.
func worthTrying(c *dispatchv1.Job, a *triagev1.AssessResponse) bool {
	p := a.GetPhoneAdviceProbability()
	if c.GetRequirement() == nil || len(c.GetRequirement().GetParts()) > 0 {
		return p >= likely
	}
	for _, k := range a.GetPartKinds() {
		if k.GetPartKind() == noPart && k.GetProbability() > 0 {
			p /= k.GetProbability()
		}
	}
	return p >= aQuarter
}

// noPart is the part kind of what is put right without one.
const noPart = "no_part"

// priority raises a job nobody has ranked when a danger asks for it.
func priority(p dispatchv1.Priority, hazards []*commonv1.Hazard) job.Priority {
	switch p {
	case dispatchv1.Priority_PRIORITY_URGENT:
		return job.Urgent
	case dispatchv1.Priority_PRIORITY_UNSPECIFIED:
		for _, h := range hazards {
			if h.GetBooking() == commonv1.HazardBooking_HAZARD_BOOKING_PRIORITY {
				return job.Urgent
			}
		}
	}
	return job.Normal
}

// decide reads the region as it is now, chooses, and returns the change that
// would make it so, with the job as it would be after it.
func (s *Server) decide(ctx context.Context, draft job.Job, c *dispatchv1.Job) (job.Change, job.Job, error) {
	if d, stop := held(draft, c); stop {
		return book(d, offer.Request{Job: draft, Now: s.Now()})
	}
	snapshot, err := s.Store.Snapshot(ctx, draft.Region)
	if err != nil {
		return job.Change{}, draft, err
	}
	technicians := snapshot.Technicians
	if name := c.GetOnlyTechnician(); name != "" {
		_, _, id := split(name)
		technicians = slices.DeleteFunc(technicians, func(t fleet.Technician) bool { return t.ID != id })
	}
	request := offer.Request{
		Job: draft, Technicians: technicians, Warehouses: snapshot.Warehouses, OpenUrgent: snapshot.Urgent,
		Travel: s.Travel, Costs: s.Costs, Now: s.Now(), PhoneFix: c.GetPhoneAdvice(),
	}
	table, err := s.fits(ctx, request, c)
	if err != nil {
		return job.Change{}, draft, err
	}
	request.Fits = table
	d, err := offer.Choose(request)
	if err != nil {
		return job.Change{}, draft, err
	}
	return book(d, request)
}

// book makes the change of a decision and says what the job is after it.
func book(d offer.Decision, r offer.Request) (job.Change, job.Job, error) {
	change, err := offer.Book(d, r)
	if err != nil {
		return job.Change{}, r.Job, err
	}
	return change, change.Jobs[0].Value, nil
}

// held reports whether a danger forbids any booking. A person who has decided
// what the visit takes has looked at the danger; then it does not.
func held(j job.Job, c *dispatchv1.Job) (offer.Decision, bool) {
	if j.Requirement.Certain {
		return offer.Decision{}, false
	}
	for _, h := range c.GetHazards() {
		if h.GetBooking() == commonv1.HazardBooking_HAZARD_BOOKING_NONE {
			return offer.Decision{
				Action: job.ActionEscalate, NeedsPerson: true,
				Because: []string{h.GetLabel() + " was reported: no visit until the place has been declared safe"},
			}, true
		}
	}
	return offer.Decision{}, false
}
