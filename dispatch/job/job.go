package job

import (
	"fmt"
	"time"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/travel"
)

// Private is text about a customer: words, address, reference. It is stored
// and sent like any string but prints as a blank, so that a careless log line
// or error text cannot carry it. Use string(p) where it is really wanted.
type Private string

// String hides the text.
func (p Private) String() string { return "(private)" }

// GoString hides the text from %#v.
func (p Private) GoString() string { return "(private)" }

// Format hides the text from every verb, %x and %q included.
func (p Private) Format(s fmt.State, _ rune) { fmt.Fprint(s, "(private)") }

// Priority says whether a job goes first when something is scarce.
type Priority string

const (
	Normal Priority = "normal"
	// Urgent is for harm or loss while waiting: medicine in a warm fridge, water
	// running. Urgent jobs go first on a scarce part and are never delayed.
	Urgent Priority = "urgent"
)

// Job is one call for help, from the telephone to the invoice.
//
// A Job is a value; functions of this room return changed copies.
type Job struct {
	ID     string
	Region string
	Place  travel.Place
	// Address is what the technician reads to find the door.
	Address Private
	// Customer is an opaque reference into whatever keeps contact data. This
	// room keeps no names or telephone numbers.
	Customer Private
	// Words are the customer's own.
	Words Private
	// Family and Variant are codes such as "tumble_dryer", "vented".
	Family, Variant string
	// Window is the time asked for or promised; it binds the start of the visit.
	// Zero means any time.
	Window   fleet.Window
	Priority Priority
	// WaitUntil is the last moment a visit may still start. Zero means no limit
	// was named.
	WaitUntil   time.Time
	Requirement Requirement
	// Case is what the adapter keeps with the job and this room does not read:
	// the appliance as described, the assessment and the quote, in the adapter's
	// own encoding. It holds no customer's words.
	Case []byte

	State State
	// Action is what was last decided for the job, with the reasons.
	Action  Action
	Because []string
	// NeedsPerson is true when a person must look at the job before it moves on.
	NeedsPerson bool
	// Advice is what the caller was told instead of, or until, a visit.
	Advice string
	// Assignment is set in the states assigned, under way and done.
	Assignment *Assignment
	// Candidates are those considered at the last decision, chosen one first.
	Candidates []Candidate
	// Degraded names the services that were away when the job was booked, so
	// that the booking can be repaired later.
	Degraded []string
	// Visits counts visits begun.
	Visits int
	Result *Result

	// RequestID is the caller's own name for the request that made the job;
	// Fingerprint is a digest of that request, to tell a repeat from a misuse.
	RequestID   string
	Fingerprint string
	CreatedAt   time.Time
	UpdatedAt   time.Time
	// Version is set by the store on every write; zero means never stored.
	Version int64
}

// String names the job without telling anything of the customer.
func (j Job) String() string { return fmt.Sprintf("job %s (%s, %s)", j.ID, j.State, j.Priority) }

// Urgent reports whether the job goes first on scarce things.
func (j Job) Urgent() bool { return j.Priority == Urgent }

// Open reports whether the job still waits for a technician.
func (j Job) Open() bool { return j.State == Created || j.State == Waiting }

// Action is what was decided for a job.
type Action string

const (
	ActionNone Action = ""
	// ActionAssign sends the technician of the Assignment.
	ActionAssign Action = "assign"
	// ActionBookLater means somebody can do it, but not in the time asked for.
	ActionBookLater Action = "book_later"
	// ActionOrderPart means no part that serves is free in the region.
	ActionOrderPart Action = "order_part"
	// ActionPhoneFix means the call may settle it: no visit yet.
	ActionPhoneFix Action = "phone_fix"
	// ActionEscalate means a person must decide: nobody here may do the work.
	ActionEscalate Action = "escalate"
)

// Cents is an amount in minor units of the house currency. Costs here only
// compare choices; they are never shown to a customer as a price.
type Cents int64

// Assignment is a technician, a time and the parts promised.
//
// Arrive and Finish are what was told at booking. The technician's Day holds
// the present plan, which may have moved within the promised window since.
type Assignment struct {
	TechnicianID string
	// WarehouseID is set when a part is fetched on the way.
	WarehouseID           string
	Arrive, Start, Finish time.Time
	// Drive is the driving this job adds to the day, and Kilometres the road
	// distance it adds.
	Drive      time.Duration
	Kilometres float64
	Reserved   []Reserved
	Cost       Cost
	// Chance is the probability, 0 to 1, that the visit ends the job.
	Chance float64
}

// Reserved is one promised stock line.
type Reserved struct {
	// WarehouseID is empty for a part on the technician's van.
	WarehouseID string
	PartKind    string
	// Mark is the mark of the stock line, not of the part it replaces.
	Mark     string
	Quantity int
	// For is the mark asked for, empty when none was.
	For string
}

// Cost is the expected cost of a choice, by cause. All parts are zero or more.
type Cost struct {
	// Travel is kilometres and the technician's time at the wheel and at a
	// warehouse.
	Travel Cents
	// Wait is what the customer's waiting is worth.
	Wait Cents
	// Delay is what making other customers wait longer is worth.
	Delay Cents
	// Return is the chance of a second visit times what it costs.
	Return Cents
}

// Total is the sum of all causes.
func (c Cost) Total() Cents { return c.Travel + c.Wait + c.Delay + c.Return }

// Candidate is one technician considered, and why chosen or not.
type Candidate struct {
	TechnicianID string
	// Reason is one of the codes of package offer, such as "part_missing".
	Reason string
	// Text says it for a person, with figures.
	Text string
	// Cost and Chance are set when the technician could do the job.
	Cost       Cents
	Chance     float64
	Kilometres float64
	// Arrive is zero when no time could be found.
	Arrive time.Time
}

// Result is how a visit ended.
type Result struct {
	Fixed bool
	// Fault is the code of the fault found; empty when none was.
	Fault string
	// Used are the parts used up, with marks as printed.
	Used []Used
	At   time.Time
}

// Used is a part used up on a visit.
type Used struct {
	PartKind, Mark string
	Quantity       int
}
