package triage

import (
	"fmt"
	"slices"
	"strings"

	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/wording"
	triagev1 "onevisit/proto/onevisit/triage/v1"
	"onevisit/services/refuse"
)

// unknownVariant may be written for a variant nobody knows.
const unknownVariant = "unknown"

// heard is a request understood: the family, everything known of the case, and
// what the words themselves said.
type heard struct {
	family   *knowledge.Family
	evidence evidence.Evidence
	reading  wording.Reading
	answered []string // codes of questions answered
}

// hear reads a request. Errors name the field.
func (s *Server) hear(req *triagev1.AssessRequest) (heard, error) {
	a := req.GetAppliance()
	f, ok := s.base.Family(a.GetFamily())
	if !ok {
		return heard{}, refuse.Unknown("appliance.family", fmt.Sprintf("no family %q; known are %s", a.GetFamily(), s.familyCodes()))
	}
	h := heard{family: f}
	h.evidence.Appliance = evidence.Appliance{Family: f.Code, AgeYears: a.AgeYears, Ratings: make(map[string]string)}
	if v := a.GetVariant(); v != "" && v != unknownVariant {
		if _, ok := f.VariantIndex(v); !ok {
			return heard{}, refuse.Unknown("appliance.variant", fmt.Sprintf("no variant %q of %s; known are %s", v, f.Code, variantCodes(f)))
		}
		h.evidence.Appliance.Variant = v
	}
	for i, r := range a.GetKnownRatings() {
		if _, ok := f.PartIndex(r.GetPartKind()); !ok {
			return heard{}, refuse.Unknown(fmt.Sprintf("appliance.known_ratings[%d].part_kind", i), fmt.Sprintf("no part kind %q of %s", r.GetPartKind(), f.Code))
		}
		h.evidence.Appliance.Ratings[r.GetPartKind()] = r.GetMark()
	}
	lexicon, err := s.lexicon(req.GetLanguageCode())
	if err != nil {
		return heard{}, err
	}
	h.reading = lexicon.Read(req.GetText(), f.Code)
	h.reading.Observations = f.Plainest(h.reading.Observations)
	h.evidence.Observations = append(h.evidence.Observations, h.reading.Observations...)
	h.evidence.Parts = h.reading.Parts
	for _, x := range h.reading.Likeness {
		if _, ok := f.PartIndex(x.PartKind); !ok {
			continue // an expert's knowledge may do without it
		}
		h.evidence.Parts = append(h.evidence.Parts, evidence.PartMention{PartKind: x.PartKind, Kind: evidence.Likeness, Ratio: x.Ratio})
	}
	if err := h.answers(req.GetAnswers()); err != nil {
		return heard{}, err
	}
	for i, m := range req.GetMeasured() {
		if _, ok := f.FindingIndex(m.GetFinding()); !ok {
			return heard{}, refuse.Unknown(fmt.Sprintf("measured[%d].finding", i), fmt.Sprintf("no finding %q of %s", m.GetFinding(), f.Code))
		}
		h.evidence.Observations = append(h.evidence.Observations, evidence.Observation{
			Finding: m.GetFinding(), Present: m.GetPresent(), Ratio: evidence.Hard, Source: evidence.Measured,
		})
	}
	return h, nil
}

// answers turns answers into observations.
func (h *heard) answers(given []*triagev1.GivenAnswer) error {
	f := h.family
	for i, a := range given {
		qi, ok := f.QuestionIndex(a.GetQuestion())
		if !ok {
			return refuse.Unknown(fmt.Sprintf("answers[%d].question", i), fmt.Sprintf("no question %q of %s", a.GetQuestion(), f.Code))
		}
		q := &f.Questions[qi]
		k := slices.IndexFunc(q.Answers, func(x knowledge.Answer) bool { return x.Code == a.GetAnswer() })
		if k < 0 {
			return refuse.Unknown(fmt.Sprintf("answers[%d].answer", i), fmt.Sprintf("question %s has no answer %q; it has %s", q.Code, a.GetAnswer(), answerCodes(q)))
		}
		h.answered = append(h.answered, q.Code)
		for _, r := range q.Answers[k].Reports {
			h.evidence.Observations = append(h.evidence.Observations, evidence.Observation{
				Finding: f.Findings[r.Finding].Code, Present: r.Present, Ratio: r.Ratio, Source: evidence.Answered,
			})
		}
	}
	return nil
}

// lexicon finds the lexicon of a BCP 47 tag by its primary language, so that
// "en-AU" is read as English.
func (s *Server) lexicon(tag string) (*wording.Lexicon, error) {
	if tag == "" {
		tag = defaultLanguage
	}
	primary, _, _ := strings.Cut(strings.ToLower(tag), "-")
	if l, ok := s.lexicons[primary]; ok {
		return l, nil
	}
	known := make([]string, 0, len(s.lexicons))
	for code := range s.lexicons {
		known = append(known, code)
	}
	slices.Sort(known)
	return nil, refuse.Unknown("language_code", "no lexicon of that language; known are "+strings.Join(known, ", "))
}

// informative reports whether anything is known that tells faults apart.
func (h heard) informative() bool {
	return len(h.evidence.Observations) > 0 || h.reading.Informative
}

func (s *Server) familyCodes() string {
	codes := make([]string, 0, len(s.base.Families))
	for _, f := range s.base.Families {
		codes = append(codes, f.Code)
	}
	return strings.Join(codes, ", ")
}

func variantCodes(f *knowledge.Family) string {
	codes := make([]string, 0, len(f.Variants))
	for _, v := range f.Variants {
		codes = append(codes, v.Code)
	}
	return strings.Join(codes, ", ")
}

func answerCodes(q *knowledge.Question) string {
	codes := make([]string, 0, len(q.Answers))
	for _, a := range q.Answers {
		codes = append(codes, a.Code)
	}
	return strings.Join(codes, ", ")
}
