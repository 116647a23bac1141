package knowledge

// index finds the entries of one family by code. It is built once by the
// loader, so that a lookup costs one map access.
type index struct {
	variants, parts, findings, faults, questions, access, checks map[string]int
}

// place maps the code of each entry to its position; the first of equal codes
// counts, the loader refuses the others.
func place[T any](list []T, code func(*T) string) map[string]int {
	at := make(map[string]int, len(list))
	for i := range list {
		c := code(&list[i])
		if _, taken := at[c]; !taken {
			at[c] = i
		}
	}
	return at
}

// find looks code up in at, or walks list when at is nil, as it is in a Family
// that was written out by hand.
func find[T any](at map[string]int, list []T, code string, of func(*T) string) (int, bool) {
	if at != nil {
		i, ok := at[code]
		return i, ok
	}
	for i := range list {
		if of(&list[i]) == code {
			return i, true
		}
	}
	return 0, false
}

func variantCode(v *Variant) string    { return v.Code }
func partCode(p *Part) string          { return p.Kind }
func findingCode(f *Finding) string    { return f.Code }
func faultCode(f *Fault) string        { return f.Code }
func questionCode(q *Question) string  { return q.Code }
func accessCode(a *AccessGroup) string { return a.Code }
func checkCode(c *Check) string        { return c.Code }
func hazardCode(h *Hazard) string      { return h.Code }

func (f *Family) buildIndex() {
	f.index = &index{
		variants:  place(f.Variants, variantCode),
		parts:     place(f.Parts, partCode),
		findings:  place(f.Findings, findingCode),
		faults:    place(f.Faults, faultCode),
		questions: place(f.Questions, questionCode),
		access:    place(f.Access, accessCode),
		checks:    place(f.Checks, checkCode),
	}
}

func (f *Family) indexed() index {
	if f.index == nil {
		return index{}
	}
	return *f.index
}

// VariantIndex returns the index in f.Variants of the variant with this code.
func (f *Family) VariantIndex(code string) (int, bool) {
	return find(f.indexed().variants, f.Variants, code, variantCode)
}

// PartIndex returns the index in f.Parts of the part of this kind.
func (f *Family) PartIndex(kind string) (int, bool) {
	return find(f.indexed().parts, f.Parts, kind, partCode)
}

// FindingIndex returns the index in f.Findings of the finding with this code.
func (f *Family) FindingIndex(code string) (int, bool) {
	return find(f.indexed().findings, f.Findings, code, findingCode)
}

// FaultIndex returns the index in f.Faults of the fault with this code.
func (f *Family) FaultIndex(code string) (int, bool) {
	return find(f.indexed().faults, f.Faults, code, faultCode)
}

// QuestionIndex returns the index in f.Questions of the question with this code.
func (f *Family) QuestionIndex(code string) (int, bool) {
	return find(f.indexed().questions, f.Questions, code, questionCode)
}

// AccessIndex returns the index in f.Access of the access group with this code.
func (f *Family) AccessIndex(code string) (int, bool) {
	return find(f.indexed().access, f.Access, code, accessCode)
}

// CheckIndex returns the index in f.Checks of the check with this code.
func (f *Family) CheckIndex(code string) (int, bool) {
	return find(f.indexed().checks, f.Checks, code, checkCode)
}

// Family returns the family with this code.
func (b *Base) Family(code string) (*Family, bool) {
	if b.families != nil {
		f, ok := b.families[code]
		return f, ok
	}
	for _, f := range b.Families {
		if f.Code == code {
			return f, true
		}
	}
	return nil, false
}

// Hazard returns the hazard with this code. The pointer is into b and is not
// to be written through.
func (b *Base) Hazard(code string) (*Hazard, bool) {
	i, ok := find(b.hazards, b.Hazards, code, hazardCode)
	if !ok {
		return nil, false
	}
	return &b.Hazards[i], true
}

func (b *Base) buildIndex() {
	b.families = make(map[string]*Family, len(b.Families))
	for _, f := range b.Families {
		f.buildIndex()
		b.families[f.Code] = f
	}
	b.hazards = place(b.Hazards, hazardCode)
}
