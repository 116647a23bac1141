package knowledge

// Base is one set of fault knowledge. It is built by [Load], read-only
// afterwards and safe for concurrent use.
type Base struct {
	// Version is the version named in the files and a short hash of their
	// content, such as "2026.11+3fa9c1d2". Every assessment names it.
	Version  string
	Families []*Family // in order of code
	Hazards  []Hazard  // in the order in which they are to be spoken of
	Skills   []Term    // every skill a fault may ask for, with its label
	Tools    []Term    // every tool a fault or check may ask for, with its label

	families map[string]*Family // by code, nil in a hand-built Base
	hazards  map[string]int     // by code, nil in a hand-built Base
}

// Term is a code of the trade and how it is said to a person.
type Term struct {
	Code  string
	Label string
	// Licensed marks a skill that only a licensed or specially trained person
	// has, such as gas.
	Licensed bool
}

// Family is the knowledge about one kind of appliance. Cross references are
// indexes into the slices of the same Family.
type Family struct {
	Code     string
	Label    string
	Variants []Variant
	// FaultsPerCall is the mean number of faults in a machine whose owner
	// calls, at least 1; it sets how likely two faults at once are.
	FaultsPerCall float64
	Parts         []Part
	Findings      []Finding
	Faults        []Fault
	Causes        []Cause
	Questions     []Question
	Access        []AccessGroup
	Checks        []Check

	index *index // by code, nil in a hand-built Family
}

// Variant is a construction of the family that shifts what can fail, such as a
// condenser dryer.
type Variant struct {
	Code  string
	Label string
	// Share is the share of calls about the family that are about this
	// variant, in (0, 1]: the mix to use when the variant is unknown. The
	// shares of a family sum to 1.
	Share float64
	// Licence is the licensed skill without which nobody may open an appliance
	// of this variant, whatever the fault, such as "gas"; "" when none is
	// needed. Work with access group outside stays free.
	Licence string
}

// Part is one part kind a fault may need.
type Part struct {
	Kind  string // code of the shared vocabulary
	Label string
	// Typical are the ratings usual in this family when the model is unknown,
	// most usual first. Shares sum to at most 1; the rest is "other".
	Typical []Rating
	// CarryCost is what it costs to bring the part and not need it (picking,
	// space, risk of damage), in minutes of technician time.
	CarryMinutes float64
	// Licence is the licensed skill without which nobody may touch the part,
	// such as "gas"; "" when none is needed.
	Licence string
	Source  string
}

// Rating is a mark as printed on a part with the share of machines that have it.
type Rating struct {
	Mark  string
	Share float64
}

// NoPart is the part kind of faults that are put right without a part.
const NoPart = "no_part"

// Finding is something that can be observed and is true or false: "the drum
// does not turn", "it hums".
type Finding struct {
	Code  string
	Label string // as said to a call-taker: "drum does not turn"
	// Leak is the probability that the finding is present although no fault of
	// the family causes it. In (0, 1).
	Leak   float64
	Source string
}

// Fault is one thing that can be wrong.
type Fault struct {
	Code  string
	Label string
	// Part is the index of the part kind needed; the part with kind [NoPart]
	// when none is.
	Part int
	// AlsoParts are indexes of parts that are changed together with Part.
	AlsoParts []int
	// Share is the share of calls in which the fault is the matter, in a variant
	// of factor 1, in (0, 1): what an expert can count and writes down.
	Share float64
	// Prior is the probability, in (0, 1), that the fault is present in a
	// machine before anything is said, each fault on its own and also none of
	// them being possible. The loader scales it from Share so that, given at
	// least one fault, the mean number of faults is Family.FaultsPerCall; then
	// the chance of this fault is close to its Share.
	Prior float64
	// Variants scales the odds of Prior by variant code; a variant that is not
	// named has factor 1, and factor 0 means it cannot occur there.
	Variants map[string]float64
	// Wear shifts Prior with age.
	Wear Wear
	// Links are the findings the fault causes.
	Links []Link
	// Minutes is replacement labour including access, without travel and final
	// safety test.
	Minutes float64
	// Access is the index of the access group behind which the part sits.
	Access int
	Skills []string // such as "electrical", "gas"
	Tools  []string // such as "multimeter", "capacitance_meter"
	Hazard HazardClass
	// PhoneFix is what the caller can safely do on the phone to settle it; ""
	// when a visit is needed. Only outside checks, never a panel.
	PhoneFix string
	Cautions []string // shown with the repair
	Source   string
}

// Wear is how the risk of a fault changes with age.
type Wear int

// The kinds of wear.
const (
	Steady  Wear = iota // no change with age
	Early               // new or newly installed machines
	WearOut             // grows with age
)

// Link says that a fault causes a finding with probability P when nothing else
// does: the q of a noisy-OR (Pearl 1988).
type Link struct {
	Finding int
	P       float64
}

// Cause says that one fault brings another: given From, To follows with
// probability P, beside its own prior.
type Cause struct {
	From, To int
	P        float64
	Source   string
}

// Question is one the call-taker can ask. Seconds is what asking costs.
type Question struct {
	Code    string
	Text    string
	Seconds float64
	Answers []Answer
	// Variants limits the question to these variant codes; empty means all.
	Variants []string
	Source   string
}

// Answer is one reply and what it tells: each report becomes an observation.
// An answer without reports ("don't know") tells nothing.
type Answer struct {
	Code    string
	Text    string
	Reports []Report
}

// Report is what an answer or reading says about one finding. Ratio is as in
// evidence.Observation.
type Report struct {
	Finding int
	Present bool
	Ratio   float64
}

// HazardClass says who may do a step. Ordered: a higher class asks for more.
type HazardClass int

// The classes of work.
const (
	Outside   HazardClass = iota // unplugged or outside check, no panel
	Isolated                     // isolated, panel off, stored energy discharged and proved
	Energised                    // live measurement by a competent person
	Licensed                     // gas, refrigerant circuit or microwave high voltage
)

// AccessGroup is what must be opened; its minutes are paid once per visit.
type AccessGroup struct {
	Code    string
	Label   string
	Minutes float64
	// Parent is the index of the group that must be open before, -1 for none.
	Parent int
	Source string
}

// Check is one test on site.
type Check struct {
	Code        string
	Label       string
	Faults      []int // the faults it tells about
	Instruction string
	Minutes     float64 // without access
	Tools       []string
	Access      int
	Hazard      HazardClass
	Expect      string // the reading or sight that means good
	Fail        string // what means bad
	// Detects is P(fails | fault present); FalseAlarm is P(fails | fault absent).
	Detects, FalseAlarm float64
	Cautions            []string // shown at this step
	Source              string
}

// Hazard is a danger a caller may report. It stops normal triage when Stops.
type Hazard struct {
	Code  string
	Label string
	Class HazardSeverity
	// Say is what to say and have done, in order.
	Say []string
	// Stops: no further diagnosis and no repair advice on the phone.
	Stops bool
	// Booking says what may be booked after it.
	Booking Booking
	Source  string
}

// HazardSeverity orders hazards.
type HazardSeverity int

// Severities, gravest first.
const (
	Emergency HazardSeverity = iota // leave, call the emergency number
	Urgent                          // switch off if safe, keep away
	Stop                            // leave it off
	Care                            // the machine is no danger, but somebody depends on it
)

// Booking says what may follow a hazard.
type Booking int

// What may be booked.
const (
	BookingNone     Booking = iota // none until declared safe
	BookingPriority                // priority visit with a do-not-use note
	BookingNormal                  // as usual, with a note
)
