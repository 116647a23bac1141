package knowledge

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"github.com/agnivade/levenshtein"
)

// ErrInvalid is wrapped by every error that [Load] and its kin return.
var ErrInvalid = errors.New("knowledge: invalid")

// maxProblems bounds what one load reports: past it, the reader has enough to
// do and a hostile file must not fill the memory.
const maxProblems = 200

// Problem is one thing that is wrong in one place of the files. Line and
// Column count from 1; both are 0 when the file as a whole is meant.
type Problem struct {
	File    string
	Line    int
	Column  int
	Message string
}

// Error returns "file:line:column: message", or "file: message" when the file
// as a whole is meant.
func (p Problem) Error() string {
	if p.Line == 0 {
		return p.File + ": " + p.Message
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Message)
}

// Is makes every Problem an [ErrInvalid].
func (p Problem) Is(target error) bool { return target == ErrInvalid }

// report collects problems.
type report struct {
	problems []Problem
	dropped  int
}

func (r *report) add(file string, line, column int, format string, args ...any) {
	if len(r.problems) >= maxProblems {
		r.dropped++
		return
	}
	r.problems = append(r.problems, Problem{File: file, Line: line, Column: column, Message: fmt.Sprintf(format, args...)})
}

// sorted returns the problems in order of file and place.
func (r *report) sorted() []Problem {
	slices.SortStableFunc(r.problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column), cmp.Compare(a.Message, b.Message))
	})
	if r.dropped > 0 {
		last := r.problems[len(r.problems)-1]
		return append(r.problems, Problem{File: last.File, Message: fmt.Sprintf("and %d more problems, not shown", r.dropped)})
	}
	return r.problems
}

func join(problems []Problem) error {
	errs := make([]error, len(problems))
	for i, p := range problems {
		errs[i] = p
	}
	return errors.Join(errs...)
}

// nearest returns ` (did you mean "x"?)` for the known word that is closest to
// got, or "" when none is close enough to be meant.
func nearest(got string, known []string) string {
	if len(got) > 64 { // a word this long is no slip of the finger
		return ""
	}
	best, at := "", 2+len(got)/4 // one slip in a short word, more in a long one
	for _, k := range known {
		if d := levenshtein.ComputeDistance(got, k); d < at {
			best, at = k, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf(" (did you mean %q?)", best)
}
