package gist

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// ErrModel means a model file that cannot be read.
var ErrModel = errors.New("gist: bad model")

type weight struct {
	label int32
	w     float32
}

// Model is a trained model. It is immutable and safe for concurrent use.
type Model struct {
	labels  []string
	names   []string // features, sorted
	weights [][]weight
	bias    []float32 // by label
	at      map[string]int32
}

func (m *Model) index() {
	m.at = make(map[string]int32, len(m.names))
	for i, n := range m.names {
		m.at[n] = int32(i)
	}
}

// Labels returns the labels in the order of scores. It is shared: do not change.
func (m *Model) Labels() []string { return m.labels }

// Size returns the number of features and of weights.
func (m *Model) Size() (features, weights int) {
	for _, w := range m.weights {
		weights += len(w)
	}
	return len(m.names), weights
}

// Score gives every label its probability; they sum to 1. It returns false, and
// leaves out as it is, when the model knows none of the features. out must be as
// long as Labels. Repeated features count twice: give each once.
func (m *Model) Score(features []string, out []float64) bool {
	heard := false
	for _, f := range features {
		i, ok := m.at[f]
		if !ok {
			continue
		}
		if !heard {
			for l, b := range m.bias {
				out[l] = float64(b)
			}
			heard = true
		}
		for _, w := range m.weights[i] {
			out[w.label] += float64(w.w)
		}
	}
	if heard {
		softmax(out)
	}
	return heard
}

// Because returns the features that speak most for a label, strongest first, at
// most limit of them.
func (m *Model) Because(features []string, label, limit int) []string {
	type said struct {
		f string
		w float32
	}
	var all []said
	for _, f := range features {
		i, ok := m.at[f]
		if !ok {
			continue
		}
		k, ok := slices.BinarySearchFunc(m.weights[i], int32(label), func(w weight, l int32) int { return int(w.label) - int(l) })
		if ok && m.weights[i][k].w > 0 {
			all = append(all, said{f, m.weights[i][k].w})
		}
	}
	slices.SortStableFunc(all, func(a, b said) int {
		switch {
		case a.w > b.w:
			return -1
		case a.w < b.w:
			return 1
		}
		return strings.Compare(a.f, b.f)
	})
	var out []string
	for _, s := range all[:min(limit, len(all))] {
		out = append(out, s.f)
	}
	return out
}

// A model file is text, so that a change shows as lines in a review: a header,
// one line per label (name, bias), then one line per feature (name, then
// label number and weight in pairs). Fields are separated by tabs; weights are
// whole numbers of 1/64.
const header = "gist model 2"

// Write writes the model as a file. Equal models give equal files.
func (m *Model) Write(w io.Writer) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s\t%d\t%d\n", header, len(m.labels), len(m.names))
	for i, l := range m.labels {
		fmt.Fprintf(b, "%s\t%d\n", l, grains(m.bias[i]))
	}
	for i, n := range m.names {
		b.WriteString(n)
		for _, w := range m.weights[i] {
			fmt.Fprintf(b, "\t%d\t%d", w.label, grains(w.w))
		}
		b.WriteByte('\n')
	}
	return b.Flush()
}

func grains(w float32) int { return int(math.Round(float64(w) / step)) }

// Read reads what Write wrote. Errors wrap [ErrModel] and name the line.
func Read(file []byte) (*Model, error) {
	lines := bytes.Split(bytes.TrimSuffix(file, []byte("\n")), []byte("\n"))
	bad := func(n int, what string) error { return fmt.Errorf("%w: line %d: %s", ErrModel, n+1, what) }
	head := strings.Split(string(lines[0]), "\t")
	if len(head) != 3 || head[0] != header {
		return nil, bad(0, "not a model of this version")
	}
	labels, err1 := strconv.Atoi(head[1])
	names, err2 := strconv.Atoi(head[2])
	if err1 != nil || err2 != nil || labels < 1 || names < 0 || len(lines) != 1+labels+names {
		return nil, bad(0, "counts do not match the lines")
	}
	m := &Model{}
	for n := 1; n <= labels; n++ {
		f := strings.Split(string(lines[n]), "\t")
		if len(f) != 2 || f[0] == "" {
			return nil, bad(n, "want label and bias")
		}
		bias, err := grainsOf(f[1])
		if err != nil {
			return nil, bad(n, "not a weight")
		}
		m.labels, m.bias = append(m.labels, f[0]), append(m.bias, bias)
	}
	for n := 1 + labels; n < len(lines); n++ {
		f := strings.Split(string(lines[n]), "\t")
		if len(f) < 3 || len(f)%2 == 0 {
			return nil, bad(n, "want a feature and pairs of label and weight")
		}
		if k := len(m.names); k > 0 && m.names[k-1] >= f[0] {
			return nil, bad(n, "features are not in order")
		}
		var ws []weight
		for i := 1; i < len(f); i += 2 {
			l, err1 := strconv.Atoi(f[i])
			w, err2 := grainsOf(f[i+1])
			if err1 != nil || err2 != nil || l < 0 || l >= labels || len(ws) > 0 && ws[len(ws)-1].label >= int32(l) {
				return nil, bad(n, "bad label or weight")
			}
			ws = append(ws, weight{int32(l), w})
		}
		m.names, m.weights = append(m.names, f[0]), append(m.weights, ws)
	}
	m.index()
	return m, nil
}

func grainsOf(s string) (float32, error) {
	n, err := strconv.ParseInt(s, 10, 32)
	return float32(n) * step, err
}
