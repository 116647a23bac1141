// Package evaluate measures the product on files of cases, through the same
// services a user calls.
//
// Start from [Calls], [Fit] and [Dispatch]: each reads JSON lines, asks the
// services over gRPC, and returns a report whose JSON keys are fixed. Rows with
// a family or part kind the knowledge does not have are counted and named,
// never fatal; a row that is not JSON is fatal, with its line number.
//
// It must not see more than a user gives: of a call, only family, variant, age
// and text reach the service.
//
// Worked number: of 78 calls, 70 whose first part kind is in the row's list
// give first_acceptable 70/78 = 0.897.
package evaluate
