package triage

import (
	"math"
	"slices"
	"time"

	"google.golang.org/protobuf/types/known/durationpb"

	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/wording"
	commonv1 "onevisit/proto/onevisit/common/v1"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

var sources = map[evidence.Source]triagev1.FindingSource{
	evidence.Said:     triagev1.FindingSource_FINDING_SOURCE_SAID,
	evidence.Answered: triagev1.FindingSource_FINDING_SOURCE_ANSWERED,
	evidence.Measured: triagev1.FindingSource_FINDING_SOURCE_MEASURED,
}

var mentions = map[evidence.Mention]triagev1.MentionKind{
	evidence.Theory:   triagev1.MentionKind_MENTION_KIND_THEORY,
	evidence.SeenBad:  triagev1.MentionKind_MENTION_KIND_SEEN_BAD,
	evidence.SeenGood: triagev1.MentionKind_MENTION_KIND_SEEN_GOOD,
	evidence.Likeness: triagev1.MentionKind_MENTION_KIND_LIKENESS,
	evidence.Replaced: triagev1.MentionKind_MENTION_KIND_REPLACED,
}

var severities = map[knowledge.HazardSeverity]commonv1.HazardSeverity{
	knowledge.Emergency: commonv1.HazardSeverity_HAZARD_SEVERITY_EMERGENCY,
	knowledge.Urgent:    commonv1.HazardSeverity_HAZARD_SEVERITY_URGENT,
	knowledge.Stop:      commonv1.HazardSeverity_HAZARD_SEVERITY_STOP,
	knowledge.Care:      commonv1.HazardSeverity_HAZARD_SEVERITY_CARE,
}

var bookings = map[knowledge.Booking]commonv1.HazardBooking{
	knowledge.BookingNone:     commonv1.HazardBooking_HAZARD_BOOKING_NONE,
	knowledge.BookingPriority: commonv1.HazardBooking_HAZARD_BOOKING_PRIORITY,
	knowledge.BookingNormal:   commonv1.HazardBooking_HAZARD_BOOKING_NORMAL,
}

var workClasses = map[knowledge.HazardClass]triagev1.WorkClass{
	knowledge.Outside:   triagev1.WorkClass_WORK_CLASS_OUTSIDE,
	knowledge.Isolated:  triagev1.WorkClass_WORK_CLASS_ISOLATED,
	knowledge.Energised: triagev1.WorkClass_WORK_CLASS_ENERGISED,
	knowledge.Licensed:  triagev1.WorkClass_WORK_CLASS_LICENSED,
}

// hazards returns the dangers heard, in the order in which knowledge says they
// are to be spoken of.
func (s *Server) hazards(hits []wording.HazardHit) []*commonv1.Hazard {
	var out []*commonv1.Hazard
	for i := range s.base.Hazards {
		k := &s.base.Hazards[i]
		n := slices.IndexFunc(hits, func(h wording.HazardHit) bool { return h.Code == k.Code })
		if n < 0 {
			continue
		}
		out = append(out, &commonv1.Hazard{
			Code: k.Code, Label: k.Label, Severity: severities[k.Class], Steps: k.Say,
			StopsTriage: k.Stops, Booking: bookings[k.Booking],
			Heard: span(hits[n].Start, hits[n].End, hits[n].Words),
		})
	}
	return out
}

func stops(hazards []*commonv1.Hazard) bool {
	return slices.ContainsFunc(hazards, (*commonv1.Hazard).GetStopsTriage)
}

func span(start, end int, words string) *commonv1.TextSpan {
	return &commonv1.TextSpan{Start: int32(start), End: int32(end), Words: words}
}

func fromQuestion(q *knowledge.Question) *triagev1.Question {
	out := &triagev1.Question{Code: q.Code, Text: q.Text, Duration: seconds(q.Seconds)}
	for _, a := range q.Answers {
		out.Answers = append(out.Answers, &triagev1.QuestionAnswer{Code: a.Code, Text: a.Text})
	}
	return out
}

func seconds(s float64) *durationpb.Duration {
	return durationpb.New(time.Duration(math.Round(s * float64(time.Second))))
}

func minutes(m float64) *durationpb.Duration {
	return durationpb.New(time.Duration(math.Round(m*60)) * time.Second)
}

// byProbability returns indexes by falling probability, ties by index.
func byProbability(p []float64) []int {
	out := make([]int, len(p))
	for i := range out {
		out[i] = i
	}
	slices.SortStableFunc(out, func(a, b int) int {
		switch {
		case p[a] > p[b]:
			return -1
		case p[a] < p[b]:
			return 1
		}
		return 0
	})
	return out
}

// probability is the inverse of log-odds.
func probability(logOdds float64) float64 { return 1 / (1 + math.Exp(-logOdds)) }
