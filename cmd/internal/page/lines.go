package page

import "strings"

// Blank sets one empty line, never two in a row.
func (p *Page) Blank() {
	if !p.blank {
		p.line("")
	}
}

// Title sets the heading of a page, with a rule under it.
func (p *Page) Title(s string) {
	p.Blank()
	longest := 0
	for _, l := range wrap(s, p.width) {
		longest = max(longest, Columns(l))
		p.line(p.style(title, l))
	}
	p.line(p.style(title, strings.Repeat("=", longest)))
}

// Head sets the heading of a section.
func (p *Page) Head(s string) {
	p.Blank()
	p.hang(0, plain, "", 0, bold, s)
}

// Para sets a paragraph, indented.
func (p *Page) Para(indent int, s string) { p.hang(0, plain, "", indent, plain, s) }

// Faint sets a paragraph that may be skipped.
func (p *Page) Faint(indent int, s string) { p.hang(0, plain, "", indent, faint, s) }

// Strong sets a paragraph that should not be skipped.
func (p *Page) Strong(indent int, s string) { p.hang(0, plain, "", indent, bold, s) }

// Danger sets a line nobody may miss.
func (p *Page) Danger(s string) { p.hang(0, danger, "! ", 2, danger, s) }

// Item sets a line of a list: mark at the indent, the text hanging behind it.
func (p *Page) Item(indent int, mark, s string) {
	p.hang(indent, bold, mark, indent+Columns(Clean(mark))+1, plain, s)
}

// Field sets a label and what belongs to it, the texts of several fields
// beginning in one column.
func (p *Page) Field(label, s string) { p.hang(0, bold, label, fieldColumn, plain, s) }

// Good sets a field whose text is good news.
func (p *Page) Good(label, s string) { p.hang(0, bold, label, fieldColumn, good, s) }

// StrongField sets a field whose text should not be skipped.
func (p *Page) StrongField(label, s string) { p.hang(0, bold, label, fieldColumn, bold, s) }

// Entry sets one of several texts of a field, each with a short mark, such as a
// percentage, flush right before it.
func (p *Page) Entry(label, mark, s string) {
	mark = Clean(mark)
	lead := pad(Clean(label), fieldColumn) + strings.Repeat(" ", max(0, markColumns-Columns(mark))) + mark
	p.hang(0, bold, lead, EntryColumn, plain, s)
}

// markColumns is what the mark of an entry takes; longer ones push the text.
const markColumns = 5

// EntryColumn is where the text of an entry begins.
const EntryColumn = fieldColumn + markColumns + gap

// fieldColumn is where the text of a field begins.
const fieldColumn = 14
