package dispatch

import (
	"testing"

	"onevisit/dispatch/job"
	"onevisit/dispatch/offer"
	"onevisit/services/refuse/refusetest"
)

func TestErrors_EveryDomainErrorHasACode(t *testing.T) {
	d := "../../dispatch/"
	refusetest.Complete(t, "errors.go", []string{d + "fleet", d + "job", d + "travel", d + "route", d + "offer"}, map[string]string{
		"offer.ErrCosts":   "costs are read at the start of the process",
		"travel.ErrRoads":  "road factors are read at the start of the process",
		"offer.ErrRequest": "a request this service has put together wrongly is a defect of ours: INTERNAL",
	})
}

func TestEveryDomainCodeHasAWireCode(t *testing.T) {
	for _, s := range job.States() {
		if _, ok := states[s]; !ok {
			t.Errorf("state %q has no place in the contract", s)
		}
	}
	for _, r := range offer.Reasons() {
		if reasons[r] == 0 {
			t.Errorf("reason %q has no place in the contract", r)
		}
	}
	for _, a := range []job.Action{job.ActionAssign, job.ActionBookLater, job.ActionOrderPart, job.ActionPhoneFix, job.ActionEscalate} {
		if actions[a] == 0 {
			t.Errorf("action %q has no place in the contract", a)
		}
	}
}
