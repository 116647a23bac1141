package wording

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"onevisit/diagnosis/gist"
)

func TestReadPhrases(t *testing.T) {
	file := fstest.MapFS{"f.tsv": {Data: []byte("# a comment\n\nno_heat\t+\tstone cold\nno_heat,squeal\t-,+\theats but squeals\nnone\t.\tgood morning\n")}}
	got, err := ReadPhrases(file, "f.tsv")
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 3 || got[1].Text != "heats but squeals" || strings.Join(got[1].Labels, " ") != "no_heat- squeal+" || got[2].Labels != nil {
		t.Errorf("read %+v", got)
	}
	for name, tc := range map[string]struct{ line, want string }{
		"no phrase":      {"no_heat\t+\t", "f.tsv:1:1: want finding codes, signs and a phrase"},
		"two fields":     {"no_heat\tcold", "f.tsv:1:1: want finding codes"},
		"counts":         {"a,b\t+\tx", "f.tsv:1:1: 2 codes and 1 signs"},
		"unknown sign":   {"a\t*\tx", `f.tsv:1:1: sign "*"`},
		"second is fine": {"a\t*\tx\nb\t+\ty\nc\t?\tz", `f.tsv:3:1: sign "?"`},
	} {
		_, err := ReadPhrases(fstest.MapFS{"f.tsv": {Data: []byte(tc.line)}}, "f.tsv")
		if !errors.Is(err, ErrPhrases) || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: %v, want %q", name, err, tc.want)
		}
	}
	if _, err := ReadPhrases(fstest.MapFS{}, "f.tsv"); !errors.Is(err, fs.ErrNotExist) || !errors.Is(err, ErrPhrases) {
		t.Errorf("no file: %v", err)
	}
}

func TestReadCalls(t *testing.T) {
	files := fstest.MapFS{
		"calls_1.jsonl": {Data: []byte(`{"family":"f","text":"x","truth":"belt","other":1}` + "\n\n")},
		"calls_2.jsonl": {Data: []byte("nonsense\n" + `{"family":"f","text":"x"}` + "\n")},
	}
	got, err := ReadCalls(files, "calls_1*")
	if err != nil || len(got) != 1 || got[0] != (Call{"f", "x", "belt"}) {
		t.Errorf("read %+v %v", got, err)
	}
	_, err = ReadCalls(files, "calls_*")
	for _, want := range []string{"calls_2.jsonl:1:1", "calls_2.jsonl:2:1: family, text and truth"} {
		if !errors.Is(err, ErrPhrases) || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

// What the models add must be worth having: on phrases kept from training, more
// of what is said is heard by both together than by the patterns alone, and
// chatter fools them hardly more.
func TestTeach_HelpsOnPhrasesKeptFromIt(t *testing.T) {
	l := english(t)
	for _, family := range []string{"tumble_dryer", "washing_machine"} {
		list, err := ReadPhrases(os.DirFS("."), "phrases/en/"+family+".tsv")
		if err != nil {
			t.Fatal(err)
		}
		var train, kept []Phrase
		for i, p := range list {
			if i%4 == 0 {
				kept = append(kept, p)
			} else {
				train = append(train, p)
			}
		}
		m, err := l.Teach(family, train, gist.Options{})
		if err != nil {
			t.Fatal(err)
		}
		h := l.Compare(family, m, kept)
		t.Logf("%s: patterns %v; model %v; both %v", family, h[0], h[1], h[2])
		if h[2].Hit <= h[0].Hit+len(kept)/50 {
			t.Errorf("%s: both hear %d, patterns alone %d", family, h[2].Hit, h[0].Hit)
		}
		if h[2].Fooled > h[0].Fooled+h[0].Chatter/20 {
			t.Errorf("%s: chatter fools both %d times, patterns alone %d, of %d", family, h[2].Fooled, h[0].Fooled, h[0].Chatter)
		}
	}
	if _, err := l.Teach("tumble_dryer", []Phrase{{"x", []string{"flux+"}}}, gist.Options{}); !errors.Is(err, ErrPhrases) {
		t.Errorf("an unknown code: %v", err)
	}
	if _, err := l.Teach("toaster", nil, gist.Options{}); !errors.Is(err, ErrPhrases) {
		t.Errorf("an unknown family: %v", err)
	}
}

// Likeness is bounded, covers every part kind it was taught, says why, and is
// silent about texts that say nothing.
func TestLikeness(t *testing.T) {
	l := english(t)
	r := l.Read("it hums but the drum won't turn, give it a push and it runs", "tumble_dryer")
	if len(r.Likeness) == 0 {
		t.Fatal("no likeness")
	}
	best := r.Likeness[0]
	for _, x := range r.Likeness {
		if x.Ratio < 1/l.likenessMost-1e-12 || x.Ratio > l.likenessMost+1e-12 {
			t.Errorf("%s has ratio %v, beyond %v", x.PartKind, x.Ratio, l.likenessMost)
		}
		if x.Ratio > best.Ratio {
			best = x
		}
	}
	if best.PartKind != "run_capacitor" || len(best.Because) == 0 {
		t.Errorf("most like %s (%v), want run_capacitor with reasons", best.PartKind, best.Because)
	}
	if r := l.Read("good morning, could somebody come please", "tumble_dryer"); r.Likeness != nil {
		t.Errorf("a text that says nothing is like %v", r.Likeness)
	}
}
