package question

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"onevisit/diagnosis/kit"
	"onevisit/diagnosis/procedure"

	"pgregory.net/rapid"
)

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

func value(t testing.TB, prior []float64, likelihood [][]float64, loss Loss) Worth {
	t.Helper()
	w, err := Value(prior, likelihood, loss)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// yes turns P(yes | state) into the likelihoods of yes and no.
func yes(p ...float64) [][]float64 {
	no := make([]float64, len(p))
	for i, v := range p {
		no[i] = 1 - v
	}
	return [][]float64{p, no}
}

// bits is the information of an observation about the state.
func bits(prior []float64, likelihood [][]float64) float64 {
	entropy := func(ps []float64, total float64) (h float64) {
		for _, p := range ps {
			if p > 0 {
				h -= p / total * math.Log2(p/total)
			}
		}
		return h
	}
	h := entropy(prior, 1)
	for _, row := range likelihood {
		joint, total := make([]float64, len(prior)), 0.0
		for s := range prior {
			joint[s] = prior[s] * row[s]
			total += joint[s]
		}
		h -= total * entropy(joint, total)
	}
	return h
}

// Source: oil wildcatter (Raiffa 1968); numbers as in published manuals of
// decision software, priors from memory.
func TestValue_Wildcatter(t *testing.T) {
	prior := []float64{.5, .3, .2} // dry, wet, soaking
	soundings := [][]float64{{.1, .3, .5}, {.3, .4, .4}, {.6, .3, .1}}
	drill := func(w []float64) float64 { return -70*w[0] + 50*w[1] + 200*w[2] }
	loss := func(w []float64) float64 { return -max(drill(w), 0) }
	w := value(t, prior, soundings, loss)
	near(t, "without the test", -w.Before, 20, 1e-9)
	near(t, "with it", -w.After, 32.5, 1e-9)
	near(t, "saves", w.Saves, 12.5, 1e-9)
	near(t, "net of its cost of 10", -w.After-10, 22.5, 1e-9)
	near(t, "perfect", w.Perfect, 35, 1e-9)
	for i, want := range []float64{.24, .35, .41} {
		near(t, "answer", w.Answers[i], want, 1e-9)
	}
	for i, want := range []float64{87.5, 32.857142857, -30.487804878} {
		joint := make([]float64, 3)
		for s := range joint {
			joint[s] = prior[s] * soundings[i][s] / w.Answers[i]
		}
		near(t, "drilling after the answer", drill(joint), want, 1e-8)
	}
}

// Source: Russell & Norvig, from memory: surveying one of n blocks, one of which
// is worth C and each of which costs C/n, is worth C/n.
func TestValue_Survey(t *testing.T) {
	for _, n := range []int{2, 3, 5, 10} {
		const c = 900.0
		prior, hit := make([]float64, n), make([]float64, n)
		for i := range prior {
			prior[i] = 1 / float64(n)
		}
		hit[0] = 1
		loss := func(w []float64) float64 {
			best, total := 0.0, 0.0
			for _, v := range w {
				total += v
			}
			for _, v := range w {
				best = max(best, c*v-c/float64(n)*total)
			}
			return -best
		}
		near(t, fmt.Sprint(n, " blocks"), value(t, prior, yes(hit...), loss).Saves, c/float64(n), 1e-9)
	}
}

// search is the loss of looking for one fault, each with its perfect check.
func search(minutes ...float64) Loss {
	p := procedure.Problem{}
	for i, m := range minutes {
		p.Tasks = append(p.Tasks, procedure.Task{Minutes: m, Group: -1, Finds: []procedure.Find{{Fault: i, Detects: 1}}})
	}
	return func(w []float64) float64 {
		p.Weights = w
		o, err := procedure.Solve(p)
		if err != nil {
			panic(err)
		}
		total := 0.0
		for _, v := range w {
			total += v
		}
		return o.Minutes * total
	}
}

// Source: own numbers, enumeration of orders. The question that tells more bits
// saves less.
func TestValue_EntropyPicksTheWrongQuestion(t *testing.T) {
	prior, loss := []float64{.25, .20, .30, .25}, search(5, 40, 80, 120)
	a, b := yes(.1, .9, .9, .8), yes(.8, .8, .9, .5)
	first, second := value(t, prior, a, loss), value(t, prior, b, loss)
	near(t, "base", first.Before, 109, 1e-9)
	near(t, "P(yes)", first.Answers[0], .675, 1e-9)
	near(t, "P(yes)", second.Answers[0], .755, 1e-9)
	near(t, "saved by the first", first.Saves, .4, 1e-9)
	near(t, "saved by the second", second.Saves, 6.6, 1e-9)
	near(t, "bits of the first", bits(prior, a), .377507404, 1e-8)
	near(t, "bits of the second", bits(prior, b), .087690379, 1e-8)
	if first.Saves >= second.Saves {
		t.Error("information chosen over saving")
	}
}

// carrying is the loss of the best kit, part i for state i.
func carrying(ret kit.Cost, carry ...kit.Cost) Loss {
	return func(w []float64) float64 {
		total := 0.0
		for _, v := range w {
			total += v
		}
		if total == 0 {
			return 0
		}
		p := kit.Problem{Carry: carry, Return: ret}
		for i, v := range w {
			p.Outcomes = append(p.Outcomes, kit.Outcome{Parts: []int{i}, P: v / total})
		}
		plan, err := kit.Best(p)
		if err != nil {
			panic(err)
		}
		return float64(plan.Loss) * total
	}
}

// Source: own numbers, enumeration of kits.
func TestValue_QuestionBeforeTheKit(t *testing.T) {
	prior, loss := []float64{.55, .30, .15}, carrying(90, 4, 6, 10)
	for _, c := range []struct {
		q                       [][]float64
		pYes, yes, no, saves, b float64
	}{
		{yes(.9, .2, .1), .57, 12.368421053, 20, 4.35, .440939693},
		{yes(.5, .5, .95), .5675, 20, 11.560693642, 3.65, .093853671},
	} {
		w := value(t, prior, c.q, loss)
		near(t, "before", w.Before, 20, 1e-9)
		near(t, "perfect", w.Perfect, 14.5, 1e-9)
		near(t, "P(yes)", w.Answers[0], c.pYes, 1e-9)
		near(t, "saves", w.Saves, c.saves, 1e-9)
		near(t, "bits", bits(prior, c.q), c.b, 1e-8)
		for a, want := range []float64{c.yes, c.no} {
			joint := make([]float64, 3)
			for s := range joint {
				joint[s] = prior[s] * c.q[a][s] / w.Answers[a]
			}
			near(t, "cost after the answer", loss(joint), want, 1e-8)
		}
	}
}

// Source: own numbers, enumeration. Two questions of one digit each are worth
// nothing alone and 30 minus their cost together: the known limit of looking
// one question ahead.
func TestValue_LooksOneAhead(t *testing.T) {
	quarter := []float64{.25, .25, .25, .25} // 00 01 10 11
	loss := func(w []float64) float64 {      // one fix for 00 and 11, one for 01 and 10, 100 each
		a, b := w[0]+w[3], w[1]+w[2]
		return 100*(a+b) + 100*min(a, b)
	}
	first, second := yes(0, 0, 1, 1), yes(0, 1, 0, 1)
	near(t, "base", value(t, quarter, first, loss).Before, 150, 1e-9)
	near(t, "first digit", value(t, quarter, first, loss).Saves, 0, 1e-9)
	near(t, "second digit", value(t, quarter, second, loss).Saves, 0, 1e-9)
	var both [][]float64
	for _, a := range first {
		for _, b := range second {
			row := make([]float64, 4)
			for s := range row {
				row[s] = a[s] * b[s]
			}
			both = append(both, row)
		}
	}
	near(t, "both, at 10 each", value(t, quarter, both, loss).After+20, 120, 1e-9)
}

func drawDistribution(t *rapid.T, n int, label string) []float64 {
	ps, total := make([]float64, n), 0.0
	for i := range ps {
		ps[i] = rapid.Float64Range(0.001, 1).Draw(t, label)
		total += ps[i]
	}
	for i := range ps {
		ps[i] /= total
	}
	return ps
}

// Never negative, never above perfect knowledge, nothing for an observation
// independent of the state, indifferent to names of answers, and never more for
// a garbled version (Blackwell).
func TestValue_Properties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, answers := rapid.IntRange(2, 5).Draw(t, "states"), rapid.IntRange(2, 4).Draw(t, "answers")
		prior := drawDistribution(t, n, "prior")
		minutes := rapid.SliceOfN(rapid.Float64Range(1, 100), n, n).Draw(t, "minutes")
		var carry []kit.Cost
		for range n {
			carry = append(carry, kit.Cost(rapid.Float64Range(0, 40).Draw(t, "carry")))
		}
		onSite, onVan := search(minutes...), carrying(90, carry...)
		loss := func(w []float64) float64 { return onSite(w) + onVan(w) }
		likelihood := make([][]float64, answers)
		for a := range likelihood {
			likelihood[a] = make([]float64, n)
		}
		for s := range n {
			for a, p := range drawDistribution(t, answers, "answer") {
				likelihood[a][s] = p
			}
		}
		w, err := Value(prior, likelihood, loss)
		if err != nil {
			t.Fatal(err)
		}
		if w.Before-w.After < -1e-7 || w.Saves > w.Perfect+1e-7 {
			t.Fatalf("%+v", w)
		}
		renamed, _ := Value(prior, rapid.Permutation(likelihood).Draw(t, "names"), loss)
		if math.Abs(renamed.Saves-w.Saves) > 1e-7 {
			t.Fatalf("other names: %v, %v", renamed.Saves, w.Saves)
		}
		garbled := make([][]float64, answers)
		for a := range garbled {
			garbled[a] = make([]float64, n)
		}
		blind := make([][]float64, answers)
		for a := range answers {
			mix := drawDistribution(t, answers, "garbling")
			for b, p := range mix {
				for s := range n {
					garbled[b][s] += p * likelihood[a][s]
				}
			}
		}
		for a, p := range drawDistribution(t, answers, "blind") {
			blind[a] = make([]float64, n)
			for s := range n {
				blind[a][s] = p
			}
		}
		if g, err := Value(prior, garbled, loss); err != nil || g.Saves > w.Saves+1e-7 {
			t.Fatalf("garbled saves %v, clear %v (%v)", g.Saves, w.Saves, err)
		}
		if b, err := Value(prior, blind, loss); err != nil || math.Abs(b.Before-b.After) > 1e-7 {
			t.Fatalf("blind saves %v (%v)", b.Saves, err)
		}
	})
}

func TestValue_Refuses(t *testing.T) {
	loss := func([]float64) float64 { return 0 }
	for name, c := range map[string]struct {
		prior      []float64
		likelihood [][]float64
	}{
		"prior above 1":        {[]float64{.6, .5}, yes(.1, .2)},
		"prior below 0":        {[]float64{-.5, 1.5}, yes(.1, .2)},
		"not a number":         {[]float64{math.NaN(), 1}, yes(.1, .2)},
		"answers above 1":      {[]float64{.5, .5}, [][]float64{{.6, .5}, {.5, .5}}},
		"a likelihood too few": {[]float64{.5, .5}, [][]float64{{1}}},
	} {
		if _, err := Value(c.prior, c.likelihood, loss); !errors.Is(err, ErrProblem) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
