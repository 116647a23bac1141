package screen

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/type/money"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"onevisit/services/refuse"
)

// Money is units and nanos of the same sign (google.type.Money).
func TestMoney(t *testing.T) {
	for _, c := range []struct {
		units int64
		nanos int32
		want  string
	}{
		{186, 450_000_000, "186.45 USD"},
		{0, 50_000_000, "0.05 USD"},
		{-1, -750_000_000, "-1.75 USD"},
		{0, -10_000_000, "-0.01 USD"},
		{3, 0, "3.00 USD"},
		{3, 125_000_000, "3.125 USD"}, // never rounded in print
		{math.MaxInt64, 990_000_000, "9223372036854775807.99 USD"},
	} {
		if got := Money(&money.Money{CurrencyCode: "USD", Units: c.units, Nanos: c.nanos}); got != c.want {
			t.Errorf("Money(%d, %d) = %q, want %q", c.units, c.nanos, got, c.want)
		}
	}
}

// What is not certain is never said to be.
func TestPercent(t *testing.T) {
	for p, want := range map[float64]string{
		0: "0 %", 1e-9: "< 1 %", 0.009: "< 1 %", 0.01: "1 %", 0.5: "50 %", 0.99: "99 %", 0.996: "> 99 %", 1 - 1e-12: "> 99 %", 1: "100 %",
	} {
		if got := Percent(p); got != want {
			t.Errorf("Percent(%v) = %q, want %q", p, got, want)
		}
	}
}

func TestOdds(t *testing.T) {
	for x, want := range map[float64]string{
		math.Log(8): "odds × 8.0", -math.Log(8): "odds ÷ 8.0", math.Log(25): "odds × 25", math.Log(9.96): "odds × 10", 20: "odds × over 1000",
	} {
		if got := odds(x); got != want {
			t.Errorf("odds(%v) = %q, want %q", x, got, want)
		}
	}
}

func TestMinutes(t *testing.T) {
	for d, want := range map[time.Duration]string{
		0: "0 min", time.Second: "1 min", 35 * time.Minute: "35 min", 119 * time.Minute: "119 min", 2 * time.Hour: "2 h", 130 * time.Minute: "2 h 10 min",
	} {
		if got := Minutes(d); got != want {
			t.Errorf("Minutes(%v) = %q, want %q", d, got, want)
		}
	}
}

func TestWords_leavesMarksAndNamesAlone(t *testing.T) {
	for in, want := range map[string]string{
		"has no capacitance_meter":        "has no capacitance meter",
		"8 µF 450 V on T1":                "8 µF 450 V on T1",
		"high_limit_thermostat 140 °C NC": "high limit thermostat 140 °C NC",
	} {
		if got := Words(in); got != want {
			t.Errorf("Words(%q) = %q, want %q", in, got, want)
		}
	}
}

// Every violation of a refused request is one line that names the flag and the
// field; a wrapped refusal says the same as a bare one.
func TestSay(t *testing.T) {
	two := refuse.Fields(
		refuse.Violation{Field: "job.appliance.variant", Reason: "X", Text: "is not one of this family"},
		refuse.Violation{Field: "job.window.end_time", Reason: "X", Text: "must be after start_time"},
	)
	want := "--variant (appliance.variant): is not one of this family\n--window (window.end_time): must be after start_time"
	for name, err := range map[string]error{"bare": two, "wrapped": fmt.Errorf("line 3: %w", two)} {
		if got := strings.Join(Say(err, "", "id"), "\n"); got != want {
			t.Errorf("%s: %q", name, got)
		}
	}
	for want, err := range map[string]error{
		"cannot reach desk:1: no route":  status.Error(codes.Unavailable, "no route"),
		"internal error (request id id)": status.Error(codes.Internal, "internal error"),
		"disk full":                      errors.New("disk full"),
		"field.nobody.maps: no":          refuse.Field("field.nobody.maps", "X", "no"),
	} {
		if got := strings.Join(Say(err, "desk:1", "id"), "\n"); got != want {
			t.Errorf("Say = %q, want %q", got, want)
		}
	}
}
