// Package offer decides who goes: the technician and the time, or why nobody
// goes now.
//
// Start with Request, everything a choice depends on; Choose, which decides;
// and Decision, which Book turns into a job.Change.
//
// It must not know what words mean, why a part may replace another (it asks
// through Fits), how anything is stored or sent, or what time it is.
//
// The rule: of those who hold the skills, carry the tools, can be there in time
// and, for a job whose parts are sure, carry every part, the one with the least
// expected cost: travel, the customer's wait, other customers' delay, and the
// chance of having to come back times what that costs. With equal vans that is
// the nearest.
//
// A worked number: van A is 2 km away and ends the job with 0.5, van B is 10 km
// away and ends it with 0.9. At 35 cents a kilometre, 45.00 an hour, 2 minutes a
// kilometre and 90.00 a return visit, A costs 3.70 + 45.00 and B 18.50 + 9.00:
// B goes.
package offer
