// Package host is the house around a service: listeners, request ids, logs,
// validation, deadlines, overload, health, reflection and a graceful end.
//
// Start from [New], which builds a gRPC server with all of it, and
// [Server.Serve]. [Dial] gives the client side: the request id travels on, and
// a retry policy for what may be tried again.
//
// It must not know any trade nor any of the services it houses; cmd brings them
// together. No personal data reach its log: methods, codes, durations and ids
// only, never message content.
//
// Worked number: a request without a deadline gets ten seconds; what is called
// on its behalf gets 50 ms less than it has left, so that the callee, not the
// caller, reports the timeout.
package host
