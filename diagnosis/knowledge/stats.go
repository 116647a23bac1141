package knowledge

// Stats counts what a set of knowledge holds.
type Stats struct {
	Version  string
	Hazards  int
	Families []FamilyStats // in order of code
}

// FamilyStats counts what one family holds.
type FamilyStats struct {
	Code      string
	Variants  int
	Parts     int
	Findings  int
	Faults    int
	NoPart    int // faults put right without a part
	PhoneFix  int // of these, settled on the phone
	Licensed  int // faults that are licensed work
	Links     int
	Causes    int
	Questions int
	Checks    int
	// Shares is the sum of the shares of all faults in the usual mix of
	// variants. It need not be 1, since only their ratios count, but a sum far
	// from it shows that one fault was counted in another measure.
	Shares float64
}

// Count returns the counts of a base.
func Count(b *Base) Stats {
	s := Stats{Version: b.Version, Hazards: len(b.Hazards)}
	for _, f := range b.Families {
		c := FamilyStats{
			Code: f.Code, Variants: len(f.Variants), Parts: len(f.Parts), Findings: len(f.Findings),
			Faults: len(f.Faults), Causes: len(f.Causes), Questions: len(f.Questions), Checks: len(f.Checks),
		}
		for i := range f.Faults {
			fault := &f.Faults[i]
			c.Links += len(fault.Links)
			c.Shares += fault.Share * f.mixed(fault)
			if f.Parts[fault.Part].Kind == NoPart {
				c.NoPart++
			}
			if fault.PhoneFix != "" {
				c.PhoneFix++
			}
			if fault.Hazard == Licensed {
				c.Licensed++
			}
		}
		s.Families = append(s.Families, c)
	}
	return s
}
