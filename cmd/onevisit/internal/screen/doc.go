// Package screen says the answers of the services in words: what a call-taker,
// a technician and a dispatcher read.
//
// Start from [Assessment], [Job] and [PartsList]; each sets one answer on a
// page. [Say] turns a refused call into one clear line.
//
// It must not decide anything: every number, order and reason on a screen is
// one a service gave.
//
// Worked number: a contribution of 2.08 to the log-odds of a fault is said as
// "odds × 8", since e^2.08 = 8.
package screen
