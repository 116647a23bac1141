// Package refuse says no in the words of the contract: it turns errors of the
// domain into gRPC statuses with google.rpc details.
//
// Start from [Table], the one list per service from domain errors to codes, and
// [Field], for a request field that cannot be accepted. A test in each service
// holds the table complete.
//
// It must not know any service. What is not in a table becomes INTERNAL with a
// fixed text: the cause goes to the log of the host, never to the caller.
//
// Worked example: Table{{job.ErrStale, codes.Aborted, "STALE"}} turns an error
// that wraps job.ErrStale into ABORTED with ErrorInfo reason "STALE".
package refuse
