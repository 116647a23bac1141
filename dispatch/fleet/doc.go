// Package fleet holds the people and their vans: who may do what, who carries
// which tools and parts, what their day looks like, and the warehouses they
// can fetch from.
//
// Start with Technician, whose record holds the day and the van together;
// Stock, which knows how to promise a part, take it back and use it up; and
// Stop, one committed visit.
//
// It must not know why a part is needed, what a job costs, how anything is
// stored or sent, or what time it is.
//
// A worked number: a line of 3 capacitors with 1 promised to job J1 has 2
// free. Reserving 2 for J2 succeeds, 3 fails with ErrNotEnough. When J1 uses
// its capacitor, 2 remain, both promised, and none is free.
package fleet
