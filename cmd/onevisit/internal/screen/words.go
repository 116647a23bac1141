package screen

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"time"

	"google.golang.org/genproto/googleapis/type/money"
	"google.golang.org/protobuf/types/known/durationpb"
)

// underscored are words joined by underscores, as the contract writes them.
var underscored = regexp.MustCompile(`\b[a-z0-9]+(_[a-z0-9]+)+\b`)

// Words says codes in a text as words: "run_capacitor" becomes "run capacitor".
func Words(s string) string {
	return underscored.ReplaceAllStringFunc(s, func(c string) string { return strings.ReplaceAll(c, "_", " ") })
}

// list says several codes: "multimeter, capacitance meter".
func list(codes []string) string {
	out := make([]string, len(codes))
	for i, c := range codes {
		out[i] = Words(c)
	}
	return strings.Join(out, ", ")
}

// Percent says a probability. What is not certain is never said to be.
func Percent(p float64) string {
	switch {
	case p <= 0:
		return "0 %"
	case p < 0.01:
		return "< 1 %"
	case p > 0.99 && p < 1:
		return "> 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// Minutes says a duration in whole minutes, rounded up: "35 min", "2 h 10 min".
func Minutes(d time.Duration) string {
	m := int64((d + time.Minute - 1) / time.Minute)
	switch {
	case m < 120:
		return fmt.Sprintf("%d min", m)
	case m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	}
	return fmt.Sprintf("%d h %d min", m/60, m%60)
}

func minutes(d *durationpb.Duration) string { return Minutes(d.AsDuration()) }

// short says a duration that may be under a minute.
func short(d time.Duration) string {
	if d < 2*time.Minute {
		return fmt.Sprintf("%d s", int(math.Round(d.Seconds())))
	}
	return Minutes(d)
}

// Money says an amount: "186.45 AUD". No floating point is involved.
func Money(m *money.Money) string {
	units, nanos, sign := m.GetUnits(), int64(m.GetNanos()), ""
	if units < 0 || nanos < 0 {
		units, nanos, sign = -units, -nanos, "-"
	}
	hundredths := fmt.Sprintf("%02d", nanos/1e7)
	if rest := nanos % 1e7; rest != 0 {
		hundredths = strings.TrimRight(fmt.Sprintf("%09d", nanos), "0")
	}
	return strings.TrimSpace(fmt.Sprintf("%s%d.%s %s", sign, units, hundredths, m.GetCurrencyCode()))
}

// odds says what a change of log-odds does: "odds × 8" or "odds ÷ 3".
func odds(logOdds float64) string {
	sign, x := "×", math.Exp(math.Abs(logOdds))
	if logOdds < 0 {
		sign = "÷"
	}
	switch {
	case x >= 999.5:
		return "odds " + sign + " over 1000"
	case x >= 9.95:
		return fmt.Sprintf("odds %s %.0f", sign, x)
	}
	return fmt.Sprintf("odds %s %.1f", sign, x)
}

// last is what follows the last slash of a resource name: the id.
func last(name string) string { return name[strings.LastIndexByte(name, '/')+1:] }

// ID is what follows the last slash of a resource name.
func ID(name string) string { return last(name) }

// clock says a time: of day when it is on the day of now, else with the date.
func clock(t, now time.Time) string {
	t = t.In(now.Location())
	if y, m, d := t.Date(); y == now.Year() && m == now.Month() && d == now.Day() {
		return t.Format("15:04")
	}
	return t.Format("Mon 2 Jan 15:04")
}
