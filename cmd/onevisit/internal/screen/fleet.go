package screen

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"onevisit/cmd/internal/page"
	dispatchv1 "onevisit/proto/onevisit/dispatch/v1"
)

// Fleet sets technicians and warehouses, one paragraph each.
func Fleet(p *page.Page, technicians []*dispatchv1.Technician, warehouses []*dispatchv1.Warehouse, now time.Time) {
	if len(technicians)+len(warehouses) == 0 {
		p.Para(0, "No technicians and no warehouses.")
	}
	for _, t := range technicians {
		p.Head(strings.TrimSpace(last(t.GetName()) + "  " + t.GetLabel()))
		var skills []string
		for _, s := range t.GetSkills() {
			text := Words(s.GetCode())
			if e := s.GetExpireTime(); e != nil {
				text += " until " + e.AsTime().In(now.Location()).Format("2 Jan 2006")
			}
			skills = append(skills, text)
		}
		p.Field("Skills", strings.Join(skills, ", "))
		p.Field("Tools", list(t.GetTools()))
		p.Field("Shift", shift(t, now))
		for i, v := range t.GetVisits() {
			p.Field(once("Visits", i), fmt.Sprintf("%s to %s: %s", clock(v.GetArriveTime().AsTime(), now),
				v.GetFinishTime().AsTime().In(now.Location()).Format("15:04"), last(v.GetJob())))
		}
	}
	for _, w := range warehouses {
		p.Head("Warehouse " + last(w.GetName()))
		p.Field("Stock", fmt.Sprintf("%d lines", len(w.GetStock())))
	}
}

// shift says when a technician works today, or next.
func shift(t *dispatchv1.Technician, now time.Time) string {
	for _, s := range t.GetShifts() {
		if s.GetEndTime().AsTime().After(now) {
			return clock(s.GetStartTime().AsTime(), now) + " to " + s.GetEndTime().AsTime().In(now.Location()).Format("15:04")
		}
	}
	return "none left"
}

// Stock sets the lines of a van or a warehouse.
func Stock(p *page.Page, lines []*dispatchv1.StockLine) {
	rows := make([][]string, 0, len(lines))
	for _, l := range lines {
		rows = append(rows, []string{
			fmt.Sprint(l.GetQuantity()), fmt.Sprint(l.GetReservedQuantity()), Words(l.GetPartKind()), l.GetMark(),
		})
	}
	p.Table(2, []string{">there", ">promised", "part", "mark"}, rows)
}

// Board sets the dispatcher's picture of the day: a line for each technician,
// hours across, a letter for each job, and the list of jobs with the parts that
// are reserved.
func Board(p *page.Page, technicians []*dispatchv1.Technician, jobs []*dispatchv1.Job, now time.Time) {
	letters := make(map[string]rune, len(jobs))
	ordered := slices.Clone(jobs)
	slices.SortStableFunc(ordered, func(a, b *dispatchv1.Job) int {
		return cmp.Compare(a.GetCreateTime().AsTime().UnixNano(), b.GetCreateTime().AsTime().UnixNano())
	})
	for i, j := range ordered {
		letters[j.GetName()] = letter(i)
	}
	rows, from, to := days(technicians, ordered, letters, now)
	p.Day(0, from, to, rows)
	p.Faint(0, "dots: on shift; ~ on the road; letters: at work on that job")
	p.Blank()
	table := make([][]string, 0, len(ordered))
	for _, j := range ordered {
		a := j.GetAssignment()
		if a == nil || j.GetAction() != dispatchv1.Action_ACTION_ASSIGN {
			table = append(table, []string{string(letters[j.GetName()]), j.GetPlace().GetLabel(), "–", "–", actions[j.GetAction()]})
			continue
		}
		var parts []string
		for _, r := range a.GetParts() {
			text := Part(r)
			if shelf(r.GetHolder()) {
				text += " (to fetch at " + last(r.GetHolder()) + ")"
			}
			parts = append(parts, text)
		}
		if len(parts) == 0 {
			parts = []string{"no part reserved"}
		}
		table = append(table, []string{
			string(letters[j.GetName()]), j.GetPlace().GetLabel(), last(a.GetTechnician()), clock(a.GetStartTime().AsTime(), now), strings.Join(parts, "; "),
		})
	}
	p.Table(0, []string{"job", "where", "who", "begins", "reserved, or what is to be done"}, table)
}

func letter(i int) rune {
	const all = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
	if i < len(all) {
		return rune(all[i])
	}
	return '#'
}

// days turns the technicians' day of now into rows of a picture.
func days(technicians []*dispatchv1.Technician, jobs []*dispatchv1.Job, letters map[string]rune, now time.Time) (rows []page.Row, from, to time.Time) {
	midnight := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	tomorrow := midnight.AddDate(0, 0, 1)
	travel := make(map[string]time.Duration, len(jobs))
	for _, j := range jobs {
		travel[j.GetName()] = j.GetAssignment().GetTravelDuration().AsDuration()
	}
	for _, t := range technicians {
		row := page.Row{Label: strings.TrimSpace(last(t.GetName()) + " " + t.GetLabel())}
		add := func(start, end time.Time, fill rune) {
			start, end = start.In(now.Location()), end.In(now.Location())
			if !end.After(midnight) || !start.Before(tomorrow) {
				return
			}
			row.Spans = append(row.Spans, page.Span{Start: start, End: end, Fill: fill})
			if from.IsZero() || start.Before(from) {
				from = start
			}
			if end.After(to) {
				to = end
			}
		}
		for _, s := range t.GetShifts() {
			add(s.GetStartTime().AsTime(), s.GetEndTime().AsTime(), '·')
		}
		for _, s := range t.GetBreaks() {
			add(s.GetStartTime().AsTime(), s.GetEndTime().AsTime(), ' ')
		}
		for _, v := range t.GetVisits() {
			arrive := v.GetArriveTime().AsTime()
			add(arrive.Add(-travel[v.GetJob()]), arrive, '~')
			add(v.GetStartTime().AsTime(), v.GetFinishTime().AsTime(), cmp.Or(letters[v.GetJob()], '#'))
		}
		rows = append(rows, row)
	}
	return rows, from, to
}
