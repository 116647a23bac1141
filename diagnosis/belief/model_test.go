package belief

import (
	"errors"
	"strings"
	"sync"
	"testing"

	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
)

func TestCompile_Refuses(t *testing.T) {
	good := func() *knowledge.Family { return dryerLike(25, 9) }
	for name, spoil := range map[string]func(*knowledge.Family){
		"no fault":        func(f *knowledge.Family) { f.Faults = nil },
		"prior of 1":      func(f *knowledge.Family) { f.Faults[2].Prior = 1 },
		"prior of 0":      func(f *knowledge.Family) { f.Faults[2].Prior = 0 },
		"leak of 1":       func(f *knowledge.Family) { f.Findings[2].Leak = 1 },
		"link above 1":    func(f *knowledge.Family) { f.Faults[2].Links[0].P = 1.1 },
		"link twice":      func(f *knowledge.Family) { f.Faults[2].Links = append(f.Faults[2].Links, f.Faults[2].Links[0]) },
		"link to nothing": func(f *knowledge.Family) { f.Faults[2].Links[0].Finding = 99 },
		"part missing":    func(f *knowledge.Family) { f.Faults[2].Part = 99 },
		"also missing":    func(f *knowledge.Family) { f.Faults[2].AlsoParts = []int{-1} },
		"factor below 0":  func(f *knowledge.Family) { f.Faults[2].Variants = map[string]float64{"x": -1} },
		"circle":          func(f *knowledge.Family) { f.Causes = append(f.Causes, knowledge.Cause{From: 20, To: 3, P: .1}) },
		"own cause":       func(f *knowledge.Family) { f.Causes = append(f.Causes, knowledge.Cause{From: 5, To: 5, P: .1}) },
		"cause of 0":      func(f *knowledge.Family) { f.Causes[0].P = 0 },
	} {
		f := good()
		spoil(f)
		if _, err := Compile(f, Options{}); !errors.Is(err, ErrFamily) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Compile(good(), Options{Parameters: &Parameters{}}); !errors.Is(err, ErrParameters) {
		t.Errorf("empty parameters: %v", err)
	}
	compiled(t, good(), Options{})
}

func TestParseParameters_Refuses(t *testing.T) {
	text := string(embedded)
	for old, bad := range map[string]string{
		"lowest: 0.25":    "lowest: 5",
		"peak: 4":         "peak: .inf",
		"fade_years: 0.5": "fade_years: 0",
		"early:":          "earlier:",
		"{shape: 2.6":     "{shape: -1",
	} {
		if !strings.Contains(text, old) {
			t.Fatalf("the file has no %q", old)
		}
		if _, err := ParseParameters([]byte(strings.Replace(text, old, bad, 1))); !errors.Is(err, ErrParameters) {
			t.Errorf("%s: %v", bad, err)
		}
	}
}

func TestPosterior_Refuses(t *testing.T) {
	m := compiled(t, net([]float64{.1, .2}, []float64{0, .1}, [][]float64{{1, .5}, {0, .5}}), Options{})
	unknown := seen(1)
	unknown.Observations[0].Finding = "f9"
	other := seen(1)
	other.Appliance.Family = "other"
	variant := seen(1)
	variant.Appliance.Variant = "x"
	nothing := seen(1)
	nothing.Observations[0].Ratio = .5
	for name, c := range map[string]struct {
		e    evidence.Evidence
		want error
	}{
		"finding": {unknown, ErrUnknown}, "family": {other, ErrUnknown}, "variant": {variant, ErrUnknown},
		"ratio": {nothing, evidence.ErrInvalid},
	} {
		if _, err := m.Posterior(c.e); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	// One fault whose finding is certain, and the finding is not there.
	sure := compiled(t, net([]float64{.1}, []float64{0}, [][]float64{{1}}), Options{})
	if _, err := sure.Posterior(seen(-1)); !errors.Is(err, ErrImpossible) {
		t.Errorf("impossible: %v", err)
	}
}

func TestPosterior_PartsRanked(t *testing.T) {
	f := net([]float64{.1, .1, .3}, []float64{.1}, [][]float64{{.9}, {.8}, {0}})
	f.Parts[2].Kind = knowledge.NoPart
	f.Faults[1].Part, f.Faults[1].AlsoParts = 0, []int{1}
	p := posterior(t, compiled(t, f, Options{}), seen(1))
	parts := p.Parts()
	if len(parts) != 3 || parts[0].Part != 0 || parts[1].Kind != knowledge.NoPart || parts[2].Part != 1 {
		t.Fatalf("ranking %+v", parts)
	}
	if parts[2].Broken != 0 || parts[2].Needed != p.Faults[1] {
		t.Errorf("changed along: %+v", parts[2])
	}
	if p.Top() != 0 {
		t.Errorf("top %d", p.Top())
	}
}

// One model serves many callers at once: same answers, no race.
func TestPosterior_Concurrent(t *testing.T) {
	m := compiled(t, dryerLike(30, 20), Options{})
	want := posterior(t, m, spoken(m, 6, 20))
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for k := range 40 {
				p, err := m.Posterior(spoken(m, k%9, 20))
				if err == nil && k%9 == 6 && p.Faults[0] != want.Faults[0] {
					t.Errorf("fault 0: %v, want %v", p.Faults[0], want.Faults[0])
				}
			}
		})
	}
	wg.Wait()
}
