package page

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/term"
	"golang.org/x/text/width"
)

// Widths of a page in columns. Lines longer than widest are hard to read, and
// narrower than narrowest nothing can be set.
const (
	narrowest = 40
	widest    = 100
)

// Page sets text on a writer. The first error of the writer is kept for
// [Page.Err]; what is set after it is dropped. Not safe for concurrent use.
type Page struct {
	w      io.Writer
	width  int
	styled bool
	err    error
	blank  bool // the line before is blank, or nothing was set yet
}

// New returns a page of the given width in columns, at least 40. styled turns
// bold and colour on.
func New(w io.Writer, columns int, styled bool) *Page {
	return &Page{w: w, width: max(columns, narrowest), styled: styled, blank: true}
}

// For returns a page that suits w: as wide as the terminal and styled when w is
// one and NO_COLOR is not set, else 80 columns and plain. COLUMNS, when it is a
// number, outranks the width found.
func For(w io.Writer, getenv func(string) string) *Page {
	columns, styled := 80, false
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		styled = getenv("NO_COLOR") == "" && getenv("TERM") != "dumb"
		if c, _, err := term.GetSize(int(f.Fd())); err == nil && c > 0 {
			columns = c
		}
	}
	if c, err := strconv.Atoi(getenv("COLUMNS")); err == nil && c > 0 {
		columns = c
	}
	return New(w, min(columns, widest), styled)
}

// Err returns the first error of the writer.
func (p *Page) Err() error { return p.err }

// Width returns the columns of the page.
func (p *Page) Width() int { return p.width }

// Styles, as parameters of the "select graphic rendition" control sequence.
// Source: ECMA-48, 8.3.117 SGR.
const (
	plain  = ""
	bold   = "1"
	faint  = "2"
	danger = "1;31"
	good   = "32"
	title  = "1;36"
)

func (p *Page) style(how, s string) string {
	if !p.styled || how == plain || s == "" {
		return s
	}
	return "\x1b[" + how + "m" + s + "\x1b[0m"
}

func (p *Page) line(s string) {
	if p.err != nil {
		return
	}
	p.blank = s == ""
	_, p.err = fmt.Fprintln(p.w, strings.TrimRight(s, " "))
}

// Clean takes out what is not for reading: control characters, and characters
// that reorder text. Line breaks and tabs become spaces.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == unicode.ReplacementChar:
			return -1
		}
		return r
	}, s)
}

// Columns returns how many columns s takes on a terminal.
func Columns(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case width.LookupRune(r).Kind() == width.EastAsianWide, width.LookupRune(r).Kind() == width.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}

// wrap breaks s into lines of at most columns, the first shorter by less. A
// word longer than a line is broken.
func wrap(s string, columns int) []string {
	columns = max(columns, 8)
	var out []string
	line, used := "", 0
	flush := func() {
		if line != "" {
			out = append(out, line)
		}
		line, used = "", 0
	}
	for _, word := range strings.FieldsFunc(Clean(s), func(r rune) bool { return r == ' ' }) {
		n := Columns(word)
		if used > 0 && used+1+n > columns {
			flush()
		}
		for n > columns { // an address, or somebody leaning on a key
			cut, took := len(word), 0
			for i, r := range word {
				if took += Columns(string(r)); took > columns {
					cut = i
					break
				}
			}
			out = append(out, word[:cut])
			word = word[cut:]
			n = Columns(word)
		}
		if used > 0 {
			line, used = line+" ", used+1
		}
		line, used = line+word, used+n
	}
	flush()
	if len(out) == 0 {
		out = []string{""}
	}
	return out
}

func pad(s string, columns int) string {
	return s + strings.Repeat(" ", max(0, columns-Columns(s)))
}

// hang sets lead, then text wrapped and indented under its own first word. at
// is the column of lead, column that of the text.
func (p *Page) hang(at int, leadStyle, lead string, column int, textStyle, text string) {
	lead = Clean(lead)
	for i, l := range wrap(text, p.width-column) {
		if i > 0 {
			p.line(strings.Repeat(" ", column) + p.style(textStyle, l))
			continue
		}
		gap := strings.Repeat(" ", max(column-at-Columns(lead), 0))
		p.line(strings.Repeat(" ", at) + p.style(leadStyle, lead) + gap + p.style(textStyle, l))
	}
}
