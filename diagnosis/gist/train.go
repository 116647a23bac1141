package gist

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// ErrExamples means nothing to learn from, or a label that is not in the list.
var ErrExamples = errors.New("gist: bad examples")

// Example is one phrase as features, with the labels it carries, at least one;
// of several each gets an equal share. Repeated features count once.
type Example struct {
	Features []string
	Labels   []string
}

// Options of training. The zero value of each field takes the default named
// beside it; they were chosen by cross-validation over the phrases in the
// project.
type Options struct {
	Passes int     // over all examples; 20
	Rate   float64 // alpha of FTRL-proximal; 0.5
	L1, L2 float64 // penalties; 0.6 and 0.4
	Seed   uint64  // order of the examples; 1
	// Least is in how many examples a feature must occur to be learned; 2.
	Least int
}

func (o Options) filled() Options {
	if o.Passes == 0 {
		o.Passes = 20
	}
	if o.Rate == 0 {
		o.Rate = 0.5
	}
	if o.L1 == 0 {
		o.L1 = 0.6
	}
	if o.L2 == 0 {
		o.L2 = 0.4
	}
	if o.Seed == 0 {
		o.Seed = 1
	}
	if o.Least == 0 {
		o.Least = 2
	}
	return o
}

// beta of FTRL-proximal: keeps the first steps from being too long.
const beta = 1.0

// Train fits a model. labels gives the order of scores; every label of an
// example must be in it. The same input gives the same model, bit for bit, on
// one kind of processor. Errors wrap [ErrExamples].
//
// Cost O(passes · examples · features per example · labels).
func Train(examples []Example, labels []string, o Options) (*Model, error) {
	if len(examples) == 0 || len(labels) == 0 {
		return nil, fmt.Errorf("%w: %d examples, %d labels", ErrExamples, len(examples), len(labels))
	}
	o = o.filled()
	at := make(map[string]int, len(labels))
	for i, l := range labels {
		at[l] = i
	}
	names := vocabulary(examples, o.Least)
	id := make(map[string]int32, len(names))
	for i, n := range names {
		id[n] = int32(i)
	}
	t := &trainer{o: o, labels: len(labels), p: make([]float64, len(labels)), z: make([]float64, (len(names)+1)*len(labels)), n: make([]float64, (len(names)+1)*len(labels))}
	rows := make([][]int32, len(examples))
	truth := make([][]float64, len(examples))
	for i, e := range examples {
		rows[i] = append(known(id, e.Features), int32(len(names))) // the last is the bias
		truth[i] = make([]float64, len(labels))
		said := distinct(e.Labels)
		if len(said) == 0 {
			return nil, fmt.Errorf("%w: examples[%d] has no label", ErrExamples, i)
		}
		for _, l := range said {
			k, ok := at[l]
			if !ok {
				return nil, fmt.Errorf("%w: examples[%d] has label %q", ErrExamples, i, l)
			}
			truth[i][k] = 1 / float64(len(said))
		}
	}
	order := make([]int, len(examples))
	for i := range order {
		order[i] = i
	}
	shuffle := rand.New(rand.NewPCG(o.Seed, 0))
	for range o.Passes {
		shuffle.Shuffle(len(order), func(a, b int) { order[a], order[b] = order[b], order[a] })
		for _, i := range order {
			t.learn(rows[i], truth[i])
		}
	}
	return t.model(names, labels), nil
}

// vocabulary returns the features that occur in at least least examples, sorted.
func vocabulary(examples []Example, least int) []string {
	seen := make(map[string]int)
	for _, e := range examples {
		for _, f := range distinct(e.Features) {
			seen[f]++
		}
	}
	var names []string
	for f, n := range seen {
		if n >= least {
			names = append(names, f)
		}
	}
	slices.Sort(names)
	return names
}

func distinct(features []string) []string {
	out := slices.Clone(features)
	slices.Sort(out)
	return slices.Compact(out)
}

func known(id map[string]int32, features []string) []int32 {
	out := make([]int32, 0, len(features)+1)
	for _, f := range distinct(features) {
		if i, ok := id[f]; ok {
			out = append(out, i)
		}
	}
	return out
}

// trainer holds the two sums FTRL-proximal keeps per weight: z, of gradients
// corrected for the weights they were taken at, and n, of squared gradients.
// Index: feature·labels + label.
type trainer struct {
	o      Options
	labels int
	z, n   []float64
	p      []float64 // by label, of the example at hand
}

func (t *trainer) weight(i int, bias bool) float64 {
	z, l1 := t.z[i], t.o.L1
	if bias {
		l1 = 0
	}
	if math.Abs(z) <= l1 {
		return 0
	}
	if z > 0 {
		z -= l1
	} else {
		z += l1
	}
	return -z / ((beta+math.Sqrt(t.n[i]))/t.o.Rate + t.o.L2)
}

func (t *trainer) learn(row []int32, truth []float64) {
	bias := len(t.z)/t.labels - 1
	p := t.p
	for label := range p {
		p[label] = 0
		for _, f := range row {
			p[label] += t.weight(int(f)*t.labels+label, int(f) == bias)
		}
	}
	softmax(p)
	for label, y := range truth {
		g := p[label] - y
		if math.Abs(g) < 1e-4 {
			continue // as good as learned: the step would be lost in rounding
		}
		for _, f := range row {
			i := int(f)*t.labels + label
			w := t.weight(i, int(f) == bias)
			sigma := (math.Sqrt(t.n[i]+g*g) - math.Sqrt(t.n[i])) / t.o.Rate
			t.z[i] += g - float64(sigma*w)
			t.n[i] += float64(g * g)
		}
	}
}

// softmax turns scores into probabilities, in place.
func softmax(x []float64) {
	most, sum := slices.Max(x), 0.0
	for i, v := range x {
		x[i] = math.Exp(v - most)
		sum += x[i]
	}
	for i := range x {
		x[i] /= sum
	}
}

// model keeps the weights that are not zero, rounded to what a model file holds.
func (t *trainer) model(names, labels []string) *Model {
	m := &Model{labels: slices.Clone(labels), bias: make([]float32, len(labels))}
	for l := range labels {
		m.bias[l] = round(t.weight(len(names)*t.labels+l, true))
	}
	for f, name := range names {
		var ws []weight
		for l := range labels {
			if w := round(t.weight(f*t.labels+l, false)); w != 0 {
				ws = append(ws, weight{int32(l), w})
			}
		}
		if len(ws) > 0 {
			m.names = append(m.names, name)
			m.weights = append(m.weights, ws)
		}
	}
	m.index()
	return m
}

// step is the grain of a stored weight: fine enough to change no answer.
const step = 1.0 / 64

func round(w float64) float32 { return float32(math.Round(w/step) * step) }
