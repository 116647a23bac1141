package question

import (
	"errors"
	"fmt"
	"math"
)

// ErrProblem means probabilities that are not.
var ErrProblem = errors.New("question: bad problem")

// Loss is the expected cost of deciding best when the states have the given
// weights. It must scale with the weights, and be the least of linear functions
// of them, as the loss of any best decision is.
type Loss func(weights []float64) float64

// Worth is what an observation is worth.
type Worth struct {
	Before float64 // expected loss without it
	After  float64 // expected loss with it
	// Saves is Before-After, the expected value of sample information: never
	// negative.
	Saves float64
	// Perfect is what knowing the state would save, an upper bound of Saves.
	Perfect float64
	// Answers are the probabilities of the answers.
	Answers []float64
}

// Value returns the worth of an observation. prior is by state and sums to 1;
// likelihood is by answer and state and sums to 1 over answers. Otherwise the
// error wraps [ErrProblem].
//
// Source: Raiffa & Schlaifer, Applied Statistical Decision Theory, 1961 (from
// memory).
func Value(prior []float64, likelihood [][]float64, loss Loss) (Worth, error) {
	if err := distribution("prior", prior); err != nil {
		return Worth{}, err
	}
	for state := range prior {
		column := make([]float64, 0, len(likelihood))
		for _, row := range likelihood {
			if len(row) != len(prior) {
				return Worth{}, fmt.Errorf("%w: %d likelihoods for %d states", ErrProblem, len(row), len(prior))
			}
			column = append(column, row[state])
		}
		if err := distribution(fmt.Sprint("answers in state ", state), column); err != nil {
			return Worth{}, err
		}
	}
	w := Worth{Before: loss(prior), Answers: make([]float64, len(likelihood))}
	joint := make([]float64, len(prior))
	for a, row := range likelihood {
		for s, p := range prior {
			joint[s] = p * row[s]
			w.Answers[a] += joint[s]
		}
		w.After += loss(joint)
	}
	w.Saves = max(0, w.Before-w.After) // below 0 by rounding only
	perfect := 0.0
	clear(joint)
	for s, p := range prior {
		joint[s] = p
		perfect += loss(joint)
		joint[s] = 0
	}
	w.Perfect = max(0, w.Before-perfect)
	return w, nil
}

func distribution(what string, ps []float64) error {
	sum := 0.0
	for _, p := range ps {
		if !(p >= 0) {
			return fmt.Errorf("%w: %s has %v", ErrProblem, what, p)
		}
		sum += p
	}
	if !(math.Abs(sum-1) <= 1e-9) {
		return fmt.Errorf("%w: %s sums to %v", ErrProblem, what, sum)
	}
	return nil
}
