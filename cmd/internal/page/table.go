package page

import "strings"

// Table sets rows under a head. Columns whose head begins with ">" are set
// flush right. The last column wraps; the others are as wide as their widest
// cell. Rows may be shorter than the head.
func (p *Page) Table(indent int, head []string, rows [][]string) {
	if len(head) == 0 {
		return
	}
	right := make([]bool, len(head))
	widths := make([]int, len(head))
	titles := make([]string, len(head))
	for i, h := range head {
		right[i] = strings.HasPrefix(h, ">")
		titles[i] = strings.TrimPrefix(h, ">")
		widths[i] = Columns(titles[i])
	}
	clean := make([][]string, len(rows))
	for i, row := range rows {
		clean[i] = make([]string, len(head))
		for j := range head {
			if j < len(row) {
				clean[i][j] = Clean(row[j])
				widths[j] = max(widths[j], Columns(clean[i][j]))
			}
		}
	}
	last := len(head) - 1
	start := indent
	for _, w := range widths[:last] {
		start += w + gap
	}
	widths[last] = max(min(widths[last], p.width-start), narrowCell)
	p.row(indent, bold, titles, widths, right)
	for _, row := range clean {
		p.row(indent, plain, row, widths, right)
	}
}

const (
	gap        = 2  // columns between cells
	narrowCell = 16 // columns the last cell gets at least
)

func (p *Page) row(indent int, how string, cells []string, widths []int, right []bool) {
	last := len(cells) - 1
	lead := strings.Repeat(" ", indent)
	for i, c := range cells[:last] {
		if right[i] {
			c = strings.Repeat(" ", max(0, widths[i]-Columns(c))) + c
		}
		lead += p.style(how, pad(c, widths[i])) + strings.Repeat(" ", gap)
	}
	start := indent
	for _, w := range widths[:last] {
		start += w + gap
	}
	for i, l := range wrap(cells[last], widths[last]) {
		if i > 0 {
			lead = strings.Repeat(" ", start)
		}
		if right[last] {
			l = strings.Repeat(" ", max(0, widths[last]-Columns(l))) + l
		}
		p.line(lead + p.style(how, l))
	}
}
