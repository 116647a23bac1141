package wording

import "onevisit/diagnosis/knowledge"

// CodesOf collects the codes of a knowledge base.
func CodesOf(b *knowledge.Base) Codes {
	c := Codes{Families: map[string]FamilyCodes{}}
	for _, f := range b.Families {
		fc := FamilyCodes{}
		for _, x := range f.Findings {
			fc.Findings = append(fc.Findings, x.Code)
		}
		for _, x := range f.Parts {
			fc.Parts = append(fc.Parts, x.Kind)
		}
		c.Families[f.Code] = fc
	}
	for _, h := range b.Hazards {
		c.Hazards = append(c.Hazards, h.Code)
	}
	return c
}
