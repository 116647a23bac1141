package wording

import "onevisit/diagnosis/evidence"

// Reading is what one text says. Offsets count bytes of the text as given and
// lie on rune boundaries; Words is always text[Start:End].
type Reading struct {
	// Observations are findings of the family, at most one per finding, in
	// order of Start. Source is evidence.Said.
	Observations []evidence.Observation
	// Parts are mentions of part kinds of the family, at most one per part kind
	// and kind of mention, in order of Start.
	Parts []evidence.PartMention
	// Hazards are dangers reported as present, at most one per code, in order
	// of Start. A denied danger is not in the list.
	Hazards []HazardHit
	// Likeness says, for every part kind, how much likelier it is among calls
	// worded like this one. Nil when no model was trained or nothing was said.
	Likeness []Likeness
	// Ignored are stretches that were understood and set aside, with why.
	Ignored []Ignored
	// Informative is false when nothing was said that bears on the fault: no
	// finding, no hazard and no fact about a part. Layman's theories alone do
	// not make a text informative.
	Informative bool
}

// HazardHit is one danger reported. Ratio is as in evidence.Observation; a
// hedged report is still a report.
type HazardHit struct {
	Code  string
	Ratio float64
	Words string
	Start int
	End   int
}

// Reason says why a stretch of text was set aside.
type Reason int

// The reasons. The zero value is invalid.
const (
	ReasonInvalid Reason = iota
	OtherMachine         // speaks of another appliance or household
	LongAgo              // speaks of a time that is over
	Denied               // a danger named in order to deny it
)

// String returns the reason as one lower-case word.
func (r Reason) String() string {
	switch r {
	case OtherMachine:
		return "other"
	case LongAgo:
		return "past"
	case Denied:
		return "denied"
	}
	return "invalid"
}

// Ignored is one stretch of text with the reason for setting it aside.
type Ignored struct {
	Reason Reason
	Words  string
	Start  int
	End    int
}
