// Package house brings the services together in one process: stores, clocks,
// knowledge, listeners and the connections between services.
//
// Start from [Open], which starts everything or leaves nothing running, and
// [House.Conn], a real gRPC connection to what runs here. Roles that do not run
// here are reached at their addresses; roles that do are reached through an
// in-memory listener, by the same stubs and interceptors, never by a back door.
//
// It must not hold logic of any service. It is the only place that reads the
// clock.
//
// Worked example: roles "dispatch" with the addresses of triage and parts is one
// machine of several; roles "triage,parts,dispatch" with an embedded store is
// all of it in one process.
package house
