package page

import (
	"strings"
	"time"
)

// Span is a stretch of somebody's day, filled with one character.
type Span struct {
	Start, End time.Time
	Fill       rune
}

// Row is one line of a picture of the day. Later spans lie over earlier ones.
type Row struct {
	Label string
	Spans []Span
}

// Day draws rows of spans over the hours from start to end, at most 24, one
// column for each slice of 5 to 30 minutes, the finest that fits. Hours are
// named in the zone of start. Each span takes at least one column.
func (p *Page) Day(indent int, start, end time.Time, rows []Row) {
	start = start.Add(-time.Duration(start.Minute())*time.Minute - time.Duration(start.Second())*time.Second)
	hours := min(int((end.Sub(start)+time.Hour-1)/time.Hour), 24)
	if hours <= 0 {
		return
	}
	label := 0
	for _, r := range rows {
		label = max(label, Columns(Clean(r.Label)))
	}
	perHour := 2
	for _, n := range []int{3, 4, 6, 12} {
		if hours*n <= p.width-indent-label-gap {
			perHour = n
		}
	}
	named := 1 // every hour, or every second one where two digits would touch
	if perHour == 2 {
		named = 2
	}
	side := strings.Repeat(" ", indent)
	scale := side + strings.Repeat(" ", label+gap)
	for h := 0; h < hours; h += named {
		scale += pad(start.Add(time.Duration(h)*time.Hour).Format("15"), named*perHour)
	}
	p.line(p.style(faint, scale))

	slice := time.Hour / time.Duration(perHour)
	for _, r := range rows {
		cells := []rune(strings.Repeat(" ", hours*perHour))
		for _, s := range r.Spans {
			from := int(s.Start.Sub(start) / slice)
			to := int((s.End.Sub(start) + slice - 1) / slice)
			for i := max(from, 0); i < min(max(to, from+1), len(cells)); i++ {
				cells[i] = s.Fill
			}
		}
		p.line(side + p.style(bold, pad(Clean(r.Label), label)) + strings.Repeat(" ", gap) + string(cells))
	}
}
