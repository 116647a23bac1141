package offer

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
)

// BenchmarkChoose is one choice in a town: vans with 30 stock lines, of which
// three are of kinds the job may take, and four visits a day behind each.
func BenchmarkChoose(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		for _, certain := range []bool{true, false} {
			b.Run(fmt.Sprintf("technicians=%d/certain=%v", n, certain), func(b *testing.B) {
				r := town(n, certain)
				for b.Loop() {
					if _, err := Choose(r); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func town(n int, certain bool) Request {
	random := rand.New(rand.NewPCG(1, 2))
	place := func() travel.Place {
		return travel.Place{Lat: random.Float64()*0.4 - 0.2, Lng: random.Float64()*0.4 - 0.2}
	}
	j := sure(need("cap", "5 x 300"), need("belt", "1930 mm"))
	if !certain {
		j = likely(j.Requirement.Parts,
			job.Outcome{Probability: 0.6, Parts: []job.Need{need("cap", "5 x 300")}},
			job.Outcome{Probability: 0.2, Parts: []job.Need{need("belt", "1930 mm")}},
			job.Outcome{Probability: 0.1, Parts: []job.Need{need("cap", "5 x 300"), need("belt", "1930 mm")}})
	}
	j.Place = place()
	r := ask(j)
	r.Travel, r.Fits = travel.Default(), Table{
		{"cap", "5 x 300", "5 x 400"}: Serves, {"cap", "5 x 300", "5 x 200"}: DoesNot, {"belt", "1930 mm", "2010 mm"}: DoesNot,
	}
	for i := range n {
		var lines []fleet.Line
		for k := range 27 {
			lines = append(lines, line(fmt.Sprintf("other%d", k), "x", 1, 0))
		}
		lines = append(lines,
			line("cap", []string{"5 x 200", "5 x 300", "5 x 400"}[random.IntN(3)], random.IntN(3), 0),
			line("belt", []string{"1930 mm", "2010 mm"}[random.IntN(2)], random.IntN(3), 0), line("belt", "1800 mm", 1, 0))
		e := van(fmt.Sprintf("T%05d", i), 0, lines...)
		e.Position = &fleet.Position{Place: place()}
		for k := range 4 {
			start := at(30 + 100*k)
			e.Day = append(e.Day, fleet.Stop{
				JobID: fmt.Sprint(k), Place: place(), Duration: 40 * time.Minute, Start: start, Arrive: start, Finish: start.Add(40 * time.Minute),
				Window: fleet.Window{Start: start.Add(-time.Hour), End: start.Add(2 * time.Hour)},
			})
		}
		r.Technicians = append(r.Technicians, e)
	}
	return r
}
