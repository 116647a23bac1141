package page

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func set(columns int, styled bool, use func(*Page)) string {
	var b bytes.Buffer
	use(New(&b, columns, styled))
	return b.String()
}

func TestItem_hangsUnderItsFirstWord(t *testing.T) {
	got := set(40, false, func(p *Page) { p.Item(2, "1.", "close the tap before anything else is done") })
	want := "  1. close the tap before anything else\n     is done\n"
	if got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestClean_takesOutWhatSteersATerminal(t *testing.T) {
	for in, want := range map[string]string{
		"\x1b[2Jgone":          "[2Jgone", // ECMA-48 control sequence introducer
		"a\u009bb":             "ab",      // its one-character form
		"a\u202eb":             "ab",      // right-to-left override, Unicode UAX #9
		"two\nlines\tand\ttab": "two lines and tab",
		"8 µF ± 5 %":           "8 µF ± 5 %",
	} {
		if got := Clean(in); got != want {
			t.Errorf("Clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestPage_plainHasNoControlSequences(t *testing.T) {
	all := func(p *Page) {
		p.Title("t")
		p.Head("h")
		p.Danger("d\x1b[1m")
		p.Field("f", "x")
		p.Good("g", "x")
		p.Table(0, []string{"a", ">b"}, [][]string{{"\x1b[1m", "2"}})
	}
	if got := set(80, false, all); strings.ContainsRune(got, '\x1b') {
		t.Errorf("control sequence on a plain page: %q", got)
	}
	if got := set(80, true, all); !strings.ContainsRune(got, '\x1b') {
		t.Errorf("no style on a styled page: %q", got)
	}
}

func TestColumns(t *testing.T) {
	// Widths after Unicode UAX #11: wide characters take two columns; combining
	// marks (category Mn) none.
	for in, want := range map[string]int{"": 0, "µF": 2, "e\u0301": 1, "洗濯": 4} {
		if got := Columns(in); got != want {
			t.Errorf("Columns(%q) = %d, want %d", in, got, want)
		}
	}
}

// No line is wider than the page, and no word is lost.
func TestWrap_keepsWordsAndWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("ab µ洗  \n"))).Draw(t, "text")
		columns := rapid.IntRange(8, 60).Draw(t, "columns")
		lines := wrap(text, columns)
		for _, l := range lines {
			if Columns(l) > columns {
				t.Fatalf("line %q is %d columns wide, page %d", l, Columns(l), columns)
			}
		}
		squeeze := func(s string) string { return strings.Join(strings.Fields(Clean(s)), "") }
		if got := squeeze(strings.Join(lines, " ")); got != squeeze(text) {
			t.Fatalf("words changed: %q from %q", got, text)
		}
	})
}

func TestTable_alignsAndWraps(t *testing.T) {
	got := set(40, false, func(p *Page) {
		p.Table(0, []string{"who", ">km", "why"}, [][]string{{"T1", "3.2", "goes"}, {"T10", "12.0", "carries a part with another rating"}})
	})
	want := "who    km  why\n" +
		"T1    3.2  goes\n" +
		"T10  12.0  carries a part with another\n" +
		"           rating\n"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestDay_placesSpans(t *testing.T) {
	at := func(h, m int) time.Time { return time.Date(2027, 5, 11, h, m, 0, 0, time.UTC) }
	got := set(40, false, func(p *Page) {
		p.Day(0, at(8, 0), at(11, 0), []Row{
			{Label: "T1", Spans: []Span{{at(8, 0), at(11, 0), '.'}, {at(9, 0), at(10, 0), 'a'}}},
			{Label: "T2", Spans: []Span{{at(10, 1), at(10, 2), 'b'}}},
		})
	})
	// 36 columns for 3 hours: 12 an hour, five minutes each.
	want := "    08          09          10\n" +
		"T1  ............aaaaaaaaaaaa............\n" +
		"T2                          b\n"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestPage_keepsTheFirstError(t *testing.T) {
	p := New(broken{}, 80, false)
	p.Para(0, "one")
	p.Para(0, "two")
	if p.Err() == nil {
		t.Error("an error of the writer was lost")
	}
}
