// Command teach trains the models that hear findings in wording no pattern
// foresaw, from the phrases in the tree, and writes them beside the lexicon:
//
//	go run ./cmd/internal/teach            # train and write
//	go run ./cmd/internal/teach -check     # fail if what is written is not current
//	go run ./cmd/internal/teach -folds 5   # cross-validate, write nothing
//
// It runs from the top of the tree and must not know how phrases are read or
// models fitted.
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"onevisit/diagnosis/gist"
	"onevisit/diagnosis/knowledge"
	"onevisit/diagnosis/wording"
)

func main() {
	check := flag.Bool("check", false, "fail if the models in the tree are not what training gives")
	folds := flag.Int("folds", 0, "cross-validate in so many parts, write nothing")
	root := flag.String("root", "diagnosis/wording", "folder of the wording room")
	flag.Parse()
	if err := run(*root, *check, *folds); err != nil {
		fmt.Fprintln(os.Stderr, "teach:", err)
		os.Exit(1)
	}
}

var errStale = errors.New("model is not current: run go run ./cmd/internal/teach and commit")

// run does one language after the other. The model of whole calls sees what the
// model of phrases hears, so it comes second, with the first one loaded.
func run(root string, check bool, folds int) error {
	base, err := knowledge.Default()
	if err != nil {
		return err
	}
	codes := wording.CodesOf(base)
	languages, err := os.ReadDir(filepath.Join(root, "phrases"))
	if err != nil {
		return err
	}
	for _, language := range languages {
		t := teacher{
			lexicon: filepath.Join(root, "lexicon", language.Name()),
			said:    os.DirFS(filepath.Join(root, "phrases", language.Name())), codes: codes, check: check,
		}
		if folds > 0 {
			if err := t.validate(folds); err != nil {
				return err
			}
			continue
		}
		if err := t.phrases(); err != nil {
			return err
		}
		if err := t.calls(); err != nil {
			return err
		}
	}
	return nil
}

// teacher trains the models of one language.
type teacher struct {
	lexicon string // folder
	said    fs.FS
	codes   wording.Codes
	check   bool
}

func (t teacher) load() (*wording.Lexicon, error) { return wording.Load(os.DirFS(t.lexicon), t.codes) }

// families are the codes of all families, in order.
func (t teacher) families() []string { return slices.Sorted(maps.Keys(t.codes.Families)) }

func (t teacher) phrases() error {
	l, err := t.load()
	if err != nil {
		return err
	}
	for _, family := range t.families() {
		list, err := wording.ReadPhrases(t.said, family+".tsv")
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		m, err := l.Teach(family, list, gist.Options{})
		if err != nil {
			return err
		}
		if err := t.keep(family+".gist", m, len(list)); err != nil {
			return err
		}
	}
	return nil
}

func (t teacher) calls() error {
	l, err := t.load()
	if err != nil {
		return err
	}
	list, err := wording.ReadCalls(t.said, "calls_*.jsonl")
	if err != nil || len(list) == 0 {
		return err
	}
	for _, family := range t.families() {
		n := 0
		for _, c := range list {
			if c.Family != family {
				continue
			}
			n++
			if !slices.Contains(t.codes.Families[family].Parts, c.Truth) {
				return fmt.Errorf("a call of %s needs part kind %q, which is not in the knowledge base: %q", family, c.Truth, c.Text)
			}
		}
		if n == 0 {
			continue
		}
		m, err := l.TeachCalls(family, list, wholeCalls)
		if err != nil {
			return err
		}
		if err := t.keep(family+".calls.gist", m, n); err != nil {
			return err
		}
	}
	return nil
}

// wholeCalls trains gentler than phrases: there are fewer calls, and each has more
// features. Chosen on the tuning calls.
var wholeCalls = gist.Options{L1: 0.3, Rate: 0.3, Passes: 15}

// keep writes a model, or checks that what is written is current.
func (t teacher) keep(name string, m *gist.Model, examples int) error {
	var file bytes.Buffer
	if err := m.Write(&file); err != nil {
		return err
	}
	name = filepath.Join(t.lexicon, name)
	if t.check {
		have, err := os.ReadFile(name)
		if err != nil || !bytes.Equal(have, file.Bytes()) {
			return fmt.Errorf("%s: %w", name, errors.Join(err, errStale))
		}
		return nil
	}
	features, weights := m.Size()
	fmt.Printf("%s: %d examples, %d labels, %d features, %d weights, %d bytes\n", name, examples, len(m.Labels()), features, weights, file.Len())
	return os.WriteFile(name, file.Bytes(), 0o644)
}

// validate trains on all phrases but a part and counts what is heard in that part,
// by the patterns alone, by the model alone, and by both together.
func (t teacher) validate(folds int) error {
	l, err := t.load()
	if err != nil {
		return err
	}
	for _, family := range t.families() {
		list, err := wording.ReadPhrases(t.said, family+".tsv")
		if err != nil {
			return err
		}
		if err := validate(l, family, list, folds); err != nil {
			return err
		}
	}
	return nil
}

// validate trains on all parts but one and counts what is heard in that one, by
// the patterns alone, by the model alone, and by both together.
func validate(l *wording.Lexicon, family string, list []wording.Phrase, folds int) error {
	var sum [3]wording.Hearing
	for fold := range folds {
		var train, test []wording.Phrase
		for i, p := range list {
			if i%folds == fold {
				test = append(test, p)
			} else {
				train = append(train, p)
			}
		}
		m, err := l.Teach(family, train, gist.Options{})
		if err != nil {
			return err
		}
		for i, h := range l.Compare(family, m, test) {
			sum[i].Add(h)
		}
	}
	for i, name := range []string{"patterns", "model", "both"} {
		fmt.Printf("%-16s %-9s %v\n", family, name, sum[i])
	}
	return nil
}
