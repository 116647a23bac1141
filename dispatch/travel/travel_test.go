package travel

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"pgregory.net/rapid"
)

// Distances on the WGS84 ellipsoid, metres. Source: published test suite of
// GeographicLib (Karney), the worked example of its documentation, and figures
// computed with GeodSolve 2.1.2.
var ellipsoid = []struct {
	lat1, lng1, lat2, lng2, metres float64
}{
	{35.60777, -139.44815, -11.17491, -69.95921, 8935244.5604818305},
	{-50.56724, -16.30485, -33.56571, -94.97412, 6455670.5118668696},
	{-68.82867, -74.28391, -50.63005, -8.36685, 3956936.926063544},
	{-19.79938, -174.47484, -11.99349, -154.35109, 2319004.8601169389},
	{-41.22777, 122.32875, -7.57291, 130.37946, 3812686.035106021},
	{40.6, -73.8, 51.6, -0.5, 5551759.400318679},            // worked example
	{0, 0, 0, 180, 20003931.458625447},                      // over a pole
	{90, 0, -90, 0, 20003931.458625451},                     // pole to pole
	{0, 0, 0.5, 179.7, 19944127.420750469},                  // nearly opposite
	{0, 179.995, 0, -179.995, 1113.194907932},               // across the date line
	{48.8566, 2.3522, 48.8570, 2.3530, 73.654619272},        // next street
	{48.8566, 2.3522, 48.8738, 2.2950, 4612.053006760},      // in town
	{41.8781, -87.6298, 42.0451, -87.6877, 19160.089046247}, // across a large town
	{51.5074, -0.1278, 51.4545, -2.5879, 170995.071111391},  // town to town
	{64.1466, -21.9426, 64.1355, -21.8954, 2609.921703988},  // far north
	{-33.8688, 151.2093, -33.7963, 151.1803, 8477.866663267},
}

func TestKilometres_AgainstEllipsoid(t *testing.T) {
	const bound = 0.0057 // the error the comment promises
	for _, c := range ellipsoid {
		got := Kilometres(Place{c.lat1, c.lng1}, Place{c.lat2, c.lng2}) * 1000
		if rel := math.Abs(got-c.metres) / c.metres; rel > bound {
			t.Errorf("%v: %.1f m, off by %.2f %%", c, got, 100*rel)
		}
	}
	if got := Kilometres(Place{}, Place{}); got != 0 {
		t.Errorf("nowhere to nowhere is %g km", got)
	}
}

// A degree of a great circle is π/180 of the radius, whichever way it runs.
func TestKilometres_Degree(t *testing.T) {
	want := EarthKm * math.Pi / 180
	for _, p := range []Place{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		if got := Kilometres(Place{}, p); math.Abs(got-want) > 1e-9 {
			t.Errorf("%v: %.9f km, want %.9f", p, got, want)
		}
	}
}

func place(t *rapid.T, label string) Place {
	return Place{rapid.Float64Range(-90, 90).Draw(t, label+" lat"), rapid.Float64Range(-180, 180).Draw(t, label+" lng")}
}

func TestKilometres_Metric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := place(t, "a"), place(t, "b"), place(t, "c")
		ab, ba, bc, ac := Kilometres(a, b), Kilometres(b, a), Kilometres(b, c), Kilometres(a, c)
		if math.Abs(ab-ba) > 1e-6 {
			t.Fatalf("there %g, back %g", ab, ba)
		}
		// Near half the globe haversine loses digits: a metre is allowed.
		if ac > ab+bc+1e-3 {
			t.Fatalf("straight %g is longer than by way of b %g", ac, ab+bc)
		}
		if !(ab >= 0 && ab <= math.Pi*EarthKm+1e-6) {
			t.Fatalf("%g km is not on this earth", ab)
		}
	})
}

func TestModel_Leg(t *testing.T) {
	degree := EarthKm * math.Pi / 180
	for _, c := range []struct {
		name         string
		km           float64 // great circle
		model        Model
		road         float64
		wholeMinutes int
	}{
		{"nearest minute down", 7.2, Model{1, 1.95}, 7.2, 14}, // 14.04
		{"nearest minute up", 4.6, Model{1, 1.95}, 4.6, 9},    // 8.97
		{"half goes up", 5, Model{1, 0.5}, 5, 3},              // 2.5
		{"road factor", 10, Model{1.34, 2}, 13.4, 27},         // 26.8
		{"same place", 0, Model{1.34, 2}, 0, 0},
	} {
		leg := c.model.Leg(Place{}, Place{Lat: c.km / degree})
		if math.Abs(leg.Kilometres-c.road) > 1e-9 || leg.Drive != time.Duration(c.wholeMinutes)*time.Minute {
			t.Errorf("%s: %v, want %g km and %d min", c.name, leg, c.road, c.wholeMinutes)
		}
	}
}

func TestPlace_Validate(t *testing.T) {
	for _, c := range []struct {
		p    Place
		good bool
	}{
		{Place{}, true}, {Place{90, 180}, true}, {Place{-90, -180}, true},
		{Place{90.001, 0}, false}, {Place{0, 180.001}, false}, {Place{math.NaN(), 0}, false}, {Place{0, math.Inf(1)}, false},
	} {
		if err := c.p.Validate(); (err == nil) != c.good || (err != nil && !errors.Is(err, ErrPlace)) {
			t.Errorf("%v: %v", c.p, err)
		}
	}
}

func TestDefault(t *testing.T) {
	m := Default()
	// Giacomin and Levinson 2015 for large metropolitan areas (from memory): 1.34.
	if m.RoadFactor != 1.34 || m.MinutesPerKm != 2 {
		t.Errorf("default is %+v", m)
	}
}

func TestLoadRoads_Refuses(t *testing.T) {
	const good = "default: a\nroads:\n  a:\n    road_factor: 1.2\n    kmh: 40\n    source: somewhere\n"
	load := func(text string) error {
		_, err := LoadRoads(fstest.MapFS{"r.yaml": {Data: []byte(text)}}, "r.yaml")
		return err
	}
	if err := load(good); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, says string }{
		{"road_factor: 1.2", "road_factor: 0.9", "r.yaml:4: a: road_factor is 0.9"},
		{"kmh: 40", "kmh: 0", "kmh is 0"},
		{"kmh: 40", "mph: 40", "mph"},
		{"    source: somewhere\n", "", "source is missing"},
		{"default: a", "default: b", `default "b"`},
		{"default: a", "fallback: a", "line 1"},
		{"kmh: 40", "kmh: [", "r.yaml"},
	} {
		err := load(strings.Replace(good, c.from, c.to, 1))
		if !errors.Is(err, ErrRoads) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q instead of %q: %v, want %q in it", c.to, c.from, err, c.says)
		}
	}
}
