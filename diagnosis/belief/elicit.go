package belief

import "fmt"

// LinkFromShare turns what an expert says, "of machines with only this fault a
// share p shows the finding", into the link strength q of a noisy-OR with the
// given leak: q = 1-(1-p)/(1-leak). The share includes the leak, the link does
// not; taking one for the other overstates weak links.
//
// The share must be in [leak, 1] and the leak in [0, 1), else the error wraps
// [ErrParameters]: a finding cannot be rarer with the fault than without.
//
// Source: Henrion 1987 (leaky noisy-OR), the algebra is immediate.
func LinkFromShare(p, leak float64) (float64, error) {
	if !(leak >= 0 && leak < 1) {
		return 0, fmt.Errorf("%w: leak %v is not in [0, 1)", ErrParameters, leak)
	}
	if !(p >= leak && p <= 1) {
		return 0, fmt.Errorf("%w: share %v is not between the leak %v and 1", ErrParameters, p, leak)
	}
	return 1 - (1-p)/(1-leak), nil
}
