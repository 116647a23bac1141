package triage

import (
	"onevisit/diagnosis/question"
	triagev1 "onevisit/proto/onevisit/triage/v1"
)

// noQuestion says why none is asked.
var noQuestion = map[question.Reason]string{
	question.NonePays: "no answer would save more than it takes to ask",
	question.NoneLeft: "everything that could be asked is known",
}

// ask fills in the question most worth asking, or why there is none.
func (s *Server) ask(out *triagev1.AssessResponse, h heard) error {
	next, err := s.askers[h.family.Code].Next(h.evidence, h.answered)
	if err != nil {
		return err
	}
	if !next.Asked {
		out.NoQuestionReason = noQuestion[next.Reason]
		return nil
	}
	q := &h.family.Questions[next.Choice.Question]
	out.NextQuestion = fromQuestion(q)
	out.NextQuestion.NetSaving = minutes(float64(next.Choice.Net))
	for _, r := range next.Choice.Replies {
		a := out.NextQuestion.GetAnswers()[r.Answer]
		a.Probability = r.P
		if r.Top >= 0 {
			a.LeadsTo = h.family.Parts[r.Top].Kind
		}
	}
	return nil
}
