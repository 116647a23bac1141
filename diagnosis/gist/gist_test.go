package gist

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// twoWords is a world of two independent words and labels that follow the
// first: the odds are known.
func twoWords(n int) []Example {
	var out []Example
	for i := range n {
		var e Example
		if i%2 == 0 {
			e.Features = append(e.Features, "a")
		}
		if i%3 == 0 {
			e.Features = append(e.Features, "b")
		}
		// With a: nine in ten carry the label; without: one in ten.
		e.Labels = []string{"y"}
		if (i%2 == 0) == (i/6%10 != 0) {
			e.Labels = []string{"x"}
		}
		out = append(out, e)
	}
	return out
}

// The log-likelihood of a logistic model is concave, so that with hardly any
// penalty the fit must approach the frequencies the examples were made with.
func TestTrain_FindsTheOdds(t *testing.T) {
	m, err := Train(twoWords(6000), []string{"x", "y"}, Options{Passes: 60, L1: 1e-6, L2: 1e-6})
	if err != nil {
		t.Fatal(err)
	}
	out := make([]float64, 2)
	for _, features := range [][]string{{"a"}, {"a", "b"}} {
		if !m.Score(features, out) || math.Abs(out[0]-0.9) > 0.02 || math.Abs(out[0]+out[1]-1) > 1e-9 {
			t.Errorf("%v: %v, want 0.9 and 0.1", features, out)
		}
	}
	if m.Score([]string{"never heard"}, out) {
		t.Error("an unknown word was heard")
	}
	if got := m.Because([]string{"a", "b"}, 0, 1); len(got) != 1 || got[0] != "a" {
		t.Errorf("because %v, want a", got)
	}
}

// A word that says nothing keeps next to no weight, and none once the penalty
// outweighs what chance lends it.
func TestTrain_UselessWords(t *testing.T) {
	for _, tc := range []struct{ l1, most float64 }{{0.6, 0.3}, {200, 0}} {
		m, err := Train(twoWords(600), []string{"x", "y"}, Options{L1: tc.l1})
		if err != nil {
			t.Fatal(err)
		}
		if i, ok := m.at["b"]; ok && math.Abs(float64(m.weights[i][0].w)) > tc.most {
			t.Errorf("L1 %v: b says nothing and weighs %v", tc.l1, m.weights[i][0].w)
		}
	}
}

func TestTrain_SameInputSameFile(t *testing.T) {
	var files [2]bytes.Buffer
	for i := range files {
		m, err := Train(twoWords(300), []string{"x", "y"}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := m.Write(&files[i]); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
		t.Error("two trainings gave two models")
	}
}

func TestTrain_Refuses(t *testing.T) {
	for name, tc := range map[string]struct {
		examples []Example
		labels   []string
	}{
		"no examples":   {nil, []string{"x"}},
		"no labels":     {twoWords(6), nil},
		"unknown label": {twoWords(6), []string{"y"}},
		"no label":      {[]Example{{Features: []string{"a"}}}, []string{"y"}},
	} {
		if _, err := Train(tc.examples, tc.labels, Options{}); !errors.Is(err, ErrExamples) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestReadWrite_RoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.SampledFrom([]string{"a", "b", "c", "d d", "µ"})
		var examples []Example
		for range rapid.IntRange(1, 30).Draw(t, "examples") {
			examples = append(examples, Example{
				Features: rapid.SliceOfN(word, 0, 4).Draw(t, "features"),
				Labels:   rapid.SliceOfN(rapid.SampledFrom([]string{"x", "y"}), 1, 2).Draw(t, "labels"),
			})
		}
		m, err := Train(examples, []string{"x", "y"}, Options{Least: 1, Passes: 2, L1: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		var file, again bytes.Buffer
		if err := m.Write(&file); err != nil {
			t.Fatal(err)
		}
		back, err := Read(file.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		if err := back.Write(&again); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(file.Bytes(), again.Bytes()) {
			t.Fatalf("wrote\n%s\nread and wrote\n%s", file.String(), again.String())
		}
	})
}

func TestRead_BadFiles(t *testing.T) {
	for name, file := range map[string]string{
		"empty":             "",
		"other version":     "gist model 1\t1\t0\nx\t0\n",
		"too few lines":     header + "\t2\t0\nx\t0\n",
		"label line":        header + "\t1\t0\nx\n",
		"weight":            header + "\t1\t0\nx\tzero\n",
		"pairs":             header + "\t1\t1\nx\t0\na\t0\n",
		"label out of list": header + "\t1\t1\nx\t0\na\t1\t5\n",
		"order":             header + "\t1\t2\nx\t0\nb\t0\t5\na\t0\t5\n",
	} {
		if _, err := Read([]byte(file)); !errors.Is(err, ErrModel) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(header + "\t1\t1\nx\t-64\na\t0\t5\n")) // a whole small model
	f.Add([]byte(header + "\t999999999\t1\n"))          // a count that must not be believed
	f.Fuzz(func(t *testing.T, file []byte) {
		m, err := Read(file)
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := m.Write(&out); err != nil {
			t.Fatal(err)
		}
		if _, err := Read(out.Bytes()); err != nil {
			t.Fatalf("what was read cannot be read again: %v", err)
		}
	})
}

func BenchmarkScore(b *testing.B) {
	var examples []Example
	for i := range 2000 {
		examples = append(examples, Example{
			Features: []string{fmt.Sprint("u", i%97), fmt.Sprint("v", i%53), fmt.Sprint("w", i%31)},
			Labels:   []string{fmt.Sprint("l", i%97%60)},
		})
	}
	var labels []string
	for i := range 60 {
		labels = append(labels, fmt.Sprint("l", i))
	}
	m, err := Train(examples, labels, Options{Passes: 3})
	if err != nil {
		b.Fatal(err)
	}
	out := make([]float64, len(labels))
	for b.Loop() {
		m.Score(examples[7].Features, out)
	}
}
