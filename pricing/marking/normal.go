package marking

import (
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// spelling maps signs that mean the same on a part to one spelling. NFKC has
// already folded full-width digits, the micro sign and the µF and ohm squares.
var spelling = strings.NewReplacer(
	"μ", "U", "Μ", "U",
	"–", "-", "—", "-", "−", "-", "‐", "-", "‑", "-",
	"×", "X", "*", "X", "∗", "X", "Ω", "OHM", "ω", "OHM",
	"±", " ± ", "+/-", " ± ", "+-", " ± ", "-/+", " ± ",
	"″", "\"", "”", "\"", "“", "\"", "''", "\"", "’", "'",
	"º", "°", "∼", "~", "～", "~", "⎓", "=",
)

var (
	decimalComma = regexp.MustCompile(`(\d),(\d)`)
	bareDecimal  = regexp.MustCompile(`(^|[^\d.])\.(\d)`)
	unitDot      = regexp.MustCompile(`(\d\s*(?:UF|MFD|MF|V|VAC|HZ|MM))\.(\s|\d|$)`)
	// glued finds a unit followed at once by the next number: 8UF450V50HZ.
	glued = regexp.MustCompile(`(\d\s*(?:UF|MFD|MF|NF|PF|VAC|VDC|V~|V|HZ|MM))(\d)`)
	// freeUnit joins a number and the unit after it in a free mark.
	freeUnit = regexp.MustCompile(`(\d) +(OHM|KOHM|HZ|MM|CM|UF|KV|MA|VAC|VDC|KW|[VWAMKG])\b`)
)

// normalise brings a text to the form every pattern here is written for: NFKC,
// upper case, one space, one sign per meaning, decimal point. It is idempotent.
func normalise(text string) string {
	s := norm.NFKC.String(strings.ToValidUTF8(text, "?"))
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) {
			return ' '
		}
		return r
	}, s)
	for range maxPasses {
		t := norm.NFKC.String(spelling.Replace(strings.ToUpper(s)))
		t = repeat(decimalComma, t, "$1.$2")
		t = repeat(unitDot, t, "$1 $2")
		t = repeat(bareDecimal, t, "${1}0.$2")
		t = repeat(glued, t, "$1 $2")
		t = strings.Join(strings.Fields(t), " ")
		if t == s {
			break
		}
		s = t // one rule may make work for another: "0,.0"
	}
	return s
}

// maxPasses bounds normalise: each pass but the last shortens a chain of commas
// and dots by one, and a mark has at most MaxBytes of them.
const maxPasses = MaxBytes

// repeat applies a replacement until nothing changes: matches share characters
// (1,2,3), so one pass would leave every second one. Each pass removes what it
// matches, so it ends.
func repeat(re *regexp.Regexp, s, with string) string {
	for {
		t := re.ReplaceAllString(s, with)
		if t == s {
			return s
		}
		s = t
	}
}

// free is the canonical form of a mark whose kind has no typed spec.
func free(plain string) string {
	return strings.Join(strings.Fields(repeat(freeUnit, plain, "$1$2")), " ")
}

// gap replaces a piece that has been read, so that what stood on both sides of
// it never joins into a new number.
const gap = " \x01 "

// reader takes pieces out of a mark one pattern at a time.
type reader struct {
	rest   string
	unread []Span
}

// take removes the first match and returns its groups, nil when there is none.
// A match that starts in the middle of a number (after a digit, point or comma)
// is no match: the 50 of "4.50 V" is not 50 V.
func (r *reader) take(re *regexp.Regexp) []string {
	for from := 0; from <= len(r.rest); {
		m := re.FindStringSubmatchIndex(r.rest[from:])
		if m == nil {
			return nil
		}
		start, end := from+m[0], from+m[1]
		if start > 0 && strings.IndexByte(".,0123456789", r.rest[start-1]) >= 0 && isDigit(r.rest[start]) {
			from = start + 1
			continue
		}
		groups := make([]string, len(m)/2)
		for i := range groups {
			if m[2*i] >= 0 {
				groups[i] = r.rest[from+m[2*i] : from+m[2*i+1]]
			}
		}
		r.rest = r.rest[:start] + gap + r.rest[end:]
		return groups
	}
	return nil
}

// has removes every match and reports whether there was one.
func (r *reader) has(re *regexp.Regexp) bool {
	found := false
	for r.take(re) != nil {
		found = true
	}
	return found
}

// refuse removes every match and reports it as unread.
func (r *reader) refuse(re *regexp.Regexp, why string) {
	for m := r.take(re); m != nil; m = r.take(re) {
		r.miss(m[0], why)
	}
}

func (r *reader) miss(text, why string) {
	if text = strings.Trim(text, " /+-.,;:()[]|\x01"); text != "" {
		r.unread = append(r.unread, Span{Text: text, Why: why})
	}
}

// finish reports what is left, piece by piece, except words without content.
func (r *reader) finish(filler *regexp.Regexp) []Span {
	for piece := range strings.SplitSeq(r.rest, "\x01") {
		r.miss(strings.Join(strings.Fields(filler.ReplaceAllString(piece, " ")), " "), "not understood")
	}
	return r.unread
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
