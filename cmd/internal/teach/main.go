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
	"os"
	"path/filepath"

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

func run(root string, check bool, folds int) error {
	base, err := knowledge.Default()
	if err != nil {
		return err
	}
	codes := wording.CodesOf(base)
	phrases := filepath.Join(root, "phrases")
	languages, err := os.ReadDir(phrases)
	if err != nil {
		return err
	}
	for _, language := range languages {
		lexicon := filepath.Join(root, "lexicon", language.Name())
		l, err := wording.Load(os.DirFS(lexicon), codes)
		if err != nil {
			return err
		}
		for family := range codes.Families {
			list, err := wording.ReadPhrases(os.DirFS(filepath.Join(phrases, language.Name())), family+".tsv")
			if errors.Is(err, fs.ErrNotExist) {
				continue
			}
			if err != nil {
				return err
			}
			if folds > 0 {
				if err := validate(l, family, list, folds); err != nil {
					return err
				}
				continue
			}
			m, err := l.Teach(family, list, gist.Options{})
			if err != nil {
				return err
			}
			var file bytes.Buffer
			if err := m.Write(&file); err != nil {
				return err
			}
			name := filepath.Join(lexicon, family+".gist")
			if check {
				have, err := os.ReadFile(name)
				if err != nil || !bytes.Equal(have, file.Bytes()) {
					return fmt.Errorf("%s: %w", name, errors.Join(err, errStale))
				}
				continue
			}
			if err := os.WriteFile(name, file.Bytes(), 0o644); err != nil {
				return err
			}
			features, weights := m.Size()
			fmt.Printf("%s: %d phrases, %d labels, %d features, %d weights, %d bytes\n", name, len(list), len(m.Labels()), features, weights, file.Len())
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
