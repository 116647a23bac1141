package evaluate

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// ErrFile is wrapped by every error about the file itself.
var ErrFile = errors.New("evaluate: file")

// maxLine is the longest line read, in bytes.
const maxLine = 4 << 20

// each decodes every line of r that is not blank into a T and gives it to use.
func each[T any](r io.Reader, use func(line int, row T) error) error {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, 64<<10), maxLine)
	n, rows := 0, 0
	for lines.Scan() {
		n++
		text := bytes.TrimSpace(lines.Bytes())
		if len(text) == 0 {
			continue
		}
		var row T
		if err := json.Unmarshal(text, &row); err != nil {
			return fmt.Errorf("%w: line %d: %w", ErrFile, n, err)
		}
		rows++
		if err := use(n, row); err != nil {
			return err
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("%w: line %d: %w", ErrFile, n+1, err)
	}
	if rows == 0 {
		return fmt.Errorf("%w: it holds no cases", ErrFile)
	}
	return nil
}

// count is how often each unknown code was met.
type count map[string]int

func (c count) add(code string) { c[code]++ }
