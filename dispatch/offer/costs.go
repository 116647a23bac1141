package offer

import (
	"time"

	"onevisit/dispatch/job"
)

// Costs puts everything on one scale, in minor units of the house currency.
// They only compare choices; no customer ever pays them.
type Costs struct {
	// PerKm is what a road kilometre costs.
	PerKm job.Cents
	// PerHour is what a technician's hour at the wheel or at a warehouse costs.
	PerHour job.Cents
	// WaitPerHour and UrgentWaitPerHour are what an hour costs that a customer
	// waits from now until the visit begins.
	WaitPerHour, UrgentWaitPerHour job.Cents
	// WaitPerNight is added for each midnight between now and the visit.
	WaitPerNight job.Cents
	// DelayPerHour is what an hour costs that a promised visit moves back within
	// its window.
	DelayPerHour job.Cents
	// ReturnVisit is what a second visit costs, all in.
	ReturnVisit job.Cents
	// ShelfReliability is the probability, 0 to 1, that a part a warehouse counts
	// is there when fetched.
	ShelfReliability float64
	// HoldForUrgent is the probability, 0 to 1, from which a part an open urgent
	// job may need is held for it against normal jobs.
	HoldForUrgent float64
	// Horizon is how far ahead a visit may be planned.
	Horizon time.Duration
}
