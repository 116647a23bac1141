package belief

import (
	"fmt"
	"math"
	"testing"

	"onevisit/diagnosis/evidence"
	"onevisit/diagnosis/knowledge"
)

// General networks: judged by adding up all states of a joint given as a
// function. Parts of them are of the class of this room; those the engine must
// get right too.

type assignment map[string]bool

// joint enumerates a network of true-or-false variables.
type joint struct {
	names []string
	p     func(assignment) float64
}

// given returns P(v | e) for every variable and P(e).
func (j joint) given(e assignment) (map[string]float64, float64) {
	out, mass := map[string]float64{}, 0.0
	for s := range 1 << len(j.names) {
		a := assignment{}
		for i, n := range j.names {
			a[n] = s>>i&1 == 1
		}
		fits := true
		for n, v := range e {
			fits = fits && a[n] == v
		}
		if !fits {
			continue
		}
		w := j.p(a)
		mass += w
		for n, v := range a {
			if v {
				out[n] += w
			}
		}
	}
	for n := range out {
		out[n] /= mass
	}
	return out, mass
}

// of returns p for true, 1-p for false.
func of(v bool, p float64) float64 {
	if v {
		return p
	}
	return 1 - p
}

func pick(v bool, yes, no float64) float64 {
	if v {
		return yes
	}
	return no
}

// The chest clinic: Lauritzen & Spiegelhalter 1988.
var clinic = joint{
	[]string{"asia", "smoke", "tub", "lung", "bronc", "either", "xray", "dysp"},
	func(a assignment) float64 {
		dysp := map[[2]bool]float64{{true, true}: .9, {true, false}: .7, {false, true}: .8, {false, false}: .1}
		return of(a["asia"], .01) * of(a["smoke"], .5) * of(a["tub"], pick(a["asia"], .05, .01)) *
			of(a["lung"], pick(a["smoke"], .10, .01)) * of(a["bronc"], pick(a["smoke"], .60, .30)) *
			pick(a["either"] == (a["tub"] || a["lung"]), 1, 0) *
			of(a["xray"], pick(a["either"], .98, .05)) * of(a["dysp"], dysp[[2]bool{a["either"], a["bronc"]}])
	},
}

// Source: conditional tables of Lauritzen & Spiegelhalter 1988; enumeration.
func TestJoint_ChestClinic(t *testing.T) {
	for _, c := range []struct {
		e                             assignment
		pe                            float64
		tub, lung, bronc, either, oth float64
		other                         string
	}{
		{assignment{}, 1, .0104, .055, .45, .064828, .11029004, "xray"},
		{assignment{"dysp": true}, .43597060, .01884531, .10275922, .83396734, .12053583, .63399688, "smoke"},
		{assignment{"asia": true, "dysp": true}, .00450138, .08775096, .09952515, .81140207, .18229985, .21953886, "xray"},
		{assignment{"xray": true}, .11029004, .09241088, .48871140, .50632616, .57603969, .64076597, "dysp"},
		{assignment{"xray": true, "dysp": true}, .07067010, .11393333, .62125280, .68186854, .72872509, .78561039, "smoke"},
		{assignment{"smoke": true, "xray": true, "dysp": true}, .05551917, .07526626, .72371402, .71370551, .79145365, .01249586, "asia"},
		{assignment{"smoke": false, "xray": true}, .03443764, .14797762, .14228617, .3, .28878402, .43995281, "dysp"},
		{assignment{"asia": true, "smoke": false, "xray": true, "dysp": true}, .00029447, .63232946, .12646589, .45896014, .75247205, 1, "asia"},
		{assignment{"xray": false, "dysp": true}, .36530050, .00044982, .00245278, .86339198, .00287709, .60466612, "smoke"},
		{assignment{"bronc": true, "xray": true, "dysp": true}, .04818772, .08566000, .57655767, 1, .65622147, .82229114, "smoke"},
		{assignment{"asia": true, "smoke": true, "xray": true, "dysp": false}, .00023049, .19133151, .38266302, .29623845, .55486138, 1, "asia"},
	} {
		p, pe := clinic.given(c.e)
		near(t, fmt.Sprint(c.e), pe, c.pe, 1e-8)
		near(t, "tub", p["tub"], c.tub, 1e-8)
		near(t, "lung", p["lung"], c.lung, 1e-8)
		near(t, "bronc", p["bronc"], c.bronc, 1e-8)
		near(t, "either", p["either"], c.either, 1e-8)
		near(t, c.other, p[c.other], c.oth, 1e-8)
	}
}

// The clinic without dyspnoea is of this room's class: habits bring diseases,
// diseases bring "either" (a chain of causes three deep), which shows in the
// picture. Dyspnoea is not: .9 differs from the noisy-OR of its other rows.
func TestPosterior_ChestClinicWithoutDyspnoea(t *testing.T) {
	names := []string{"asia", "smoke", "tub", "lung", "bronc", "either"}
	f := net([]float64{.01, .5, .01, .01, .30, 1e-15}, []float64{.05, 0, 0}, [][]float64{
		{0, 1, 0}, {0, 0, 1}, {0, 0, 0}, {0, 0, 0}, {0, 0, 0}, {1 - .02/.95, 0, 0},
	}) // findings: picture, "asia", "smoke"
	f.Causes = []knowledge.Cause{
		{From: 0, To: 2, P: 1 - .95/.99}, {From: 1, To: 3, P: 1 - .90/.99}, {From: 1, To: 4, P: 1 - .40/.70},
		{From: 2, To: 5, P: 1}, {From: 3, To: 5, P: 1},
	}
	m := compiled(t, f, Options{AllowNone: true})
	for _, c := range []struct {
		e     assignment
		signs []int
	}{
		{assignment{}, nil},
		{assignment{"xray": true}, []int{1}},
		{assignment{"xray": false}, []int{-1}},
		{assignment{"xray": true, "smoke": false}, []int{1, -3}},
		{assignment{"xray": true, "smoke": true, "asia": true}, []int{1, 2, 3}},
		{assignment{"xray": false, "asia": true}, []int{-1, 2}},
	} {
		want, pe := clinic.given(c.e)
		p := posterior(t, m, seen(c.signs...))
		near(t, "P(e)", math.Exp(p.LogEvidence), pe, 1e-9)
		for i, n := range names {
			near(t, fmt.Sprint(n, " given ", c.e), p.Faults[i], want[n], 1e-9)
		}
	}
}

// Source: burglar alarm, Pearl 1988; tables after Russell & Norvig from memory;
// enumeration. Its alarm is not a noisy-OR (.95 where one would give .957), so
// this checks the judge only.
func TestJoint_BurglarAlarm(t *testing.T) {
	alarm := map[[2]bool]float64{{true, true}: .95, {true, false}: .94, {false, true}: .29, {false, false}: .001}
	j := joint{[]string{"b", "e", "a", "j", "m"}, func(a assignment) float64 {
		return of(a["b"], .001) * of(a["e"], .002) * of(a["a"], alarm[[2]bool{a["b"], a["e"]}]) *
			of(a["j"], pick(a["a"], .90, .05)) * of(a["m"], pick(a["a"], .70, .01))
	}}
	for _, c := range []struct {
		e    assignment
		of   string
		want float64
	}{
		{assignment{"j": true, "m": true}, "b", .28417184},
		{assignment{"j": true, "m": true}, "e", .17606684},
		{assignment{"j": true, "m": true}, "a", .76069204},
		{assignment{"j": true}, "b", .01628373},
		{assignment{"m": true}, "b", .05611745},
		{assignment{"a": true}, "b", .37355123},
		{assignment{"a": true, "e": true}, "b", .00326842},
		{assignment{"j": true, "m": false}, "b", .00512986},
	} {
		p, _ := j.given(c.e)
		near(t, fmt.Sprint(c.of, " given ", c.e), p[c.of], c.want, 1e-8)
	}
	_, pe := j.given(assignment{"j": true, "m": true, "a": true, "b": false, "e": false})
	near(t, "P(j,m,a,not b,not e)", pe, .0006281113, 1e-9)
}

func mention(part string, kind evidence.Mention, ratio float64) evidence.PartMention {
	return evidence.PartMention{PartKind: part, Kind: kind, Ratio: ratio}
}

// What is said of a part, variants and age scale prior odds; own arithmetic.
func TestPosterior_PriorOdds(t *testing.T) {
	f := net([]float64{.2, .1}, []float64{.01}, [][]float64{{.5}, {.5}})
	f.Variants = []knowledge.Variant{{Code: "a", Share: .3}, {Code: "b", Share: .7}}
	f.Faults[0].Variants = map[string]float64{"a": 3}
	f.Faults[1].Variants = map[string]float64{"b": 0}
	m := compiled(t, f, Options{AllowNone: true})
	for _, c := range []struct {
		name    string
		variant string
		parts   []evidence.PartMention
		want    [2]float64
	}{
		{"variant a", "a", nil, [2]float64{.75 / 1.75, .1}},
		{"variant b", "b", nil, [2]float64{.2, 0}},
		{"unknown variant, by share", "", nil, [2]float64{(.3*.75/1.75 + .7*.2), .03}},
		{"seen bad", "b", []evidence.PartMention{mention("p1", evidence.SeenBad, 4)}, [2]float64{.5, 0}},
		{"said twice", "b", []evidence.PartMention{mention("p1", evidence.SeenBad, 4), mention("p1", evidence.SeenBad, 2)}, [2]float64{.5, 0}},
		{"theory and sight", "b", []evidence.PartMention{mention("p1", evidence.Theory, 2), mention("p1", evidence.SeenBad, 2)}, [2]float64{.5, 0}},
		{"another's part", "b", []evidence.PartMention{mention("p9", evidence.SeenBad, 50)}, [2]float64{.2, 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := seen()
			e.Appliance.Variant, e.Parts = c.variant, c.parts
			p := posterior(t, m, e)
			near(t, "first", p.Faults[0], c.want[0], 1e-12)
			near(t, "second", p.Faults[1], c.want[1], 1e-12)
		})
	}
}

// Source: Weibull hazard over the reciprocal of the mean life, shapes of Wang et
// al. 2013. For shape k the average of hazard times exposure is 1.
func TestWearFactor(t *testing.T) {
	p := DefaultParameters()
	for _, c := range []struct {
		family string
		wear   knowledge.Wear
		age    float64
		want   float64
	}{
		{"washing_machine", knowledge.Steady, 12, 1},
		{"washing_machine", knowledge.WearOut, 10, 2.2 / 13.9 * math.Pow(10/13.9, 1.2) * 12.310184}, // mean life 12.310184
		{"tumble_dryer", knowledge.WearOut, 8, 2.6 / 16.5 * math.Pow(8/16.5, 1.6) * 14.655472},
		{"tumble_dryer", knowledge.WearOut, 0, .25},
		{"tumble_dryer", knowledge.WearOut, 90, 4},
		{"nothing known", knowledge.WearOut, 10, 2.2 / 13.9 * math.Pow(10/13.9, 1.2) * 12.310184},
		{"tumble_dryer", knowledge.Early, 0, 4},
		{"tumble_dryer", knowledge.Early, .5, .7 + 3.3/math.E},
		{"tumble_dryer", knowledge.Early, 50, .7},
	} {
		near(t, fmt.Sprint(c), p.WearFactor(c.family, c.wear, c.age), c.want, 1e-6)
	}
}
