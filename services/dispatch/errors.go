package dispatch

import (
	"google.golang.org/grpc/codes"

	"onevisit/dispatch/fleet"
	"onevisit/dispatch/job"
	"onevisit/dispatch/travel"
	"onevisit/services/refuse"
)

// Errors gives each error of the dispatch rooms its code. A test holds it
// complete.
var Errors = refuse.Table{
	{Is: job.ErrNotFound, Code: codes.NotFound, Reason: "NOT_FOUND"},
	{Is: job.ErrStale, Code: codes.Aborted, Reason: "STALE"}, // reread, then try again
	{Is: job.ErrDuplicateRequest, Code: codes.AlreadyExists, Reason: "REQUEST_ID_REUSED"},
	{Is: job.ErrWrongState, Code: codes.FailedPrecondition, Reason: "WRONG_STATE"}, // trying again cannot help
	{Is: job.ErrHolder, Code: codes.Aborted, Reason: "STALE"},
	{Is: job.ErrRequirement, Code: codes.InvalidArgument, Reason: "BAD_REQUIREMENT"},
	{Is: job.ErrBadName, Code: codes.InvalidArgument, Reason: "BAD_NAME"},
	{Is: job.ErrClosed, Code: codes.Unavailable, Reason: "STORE_CLOSED"},
	{Is: job.ErrUnavailable, Code: codes.Unavailable, Reason: "STORE_UNAVAILABLE"},
	{Is: job.ErrFormat, Code: codes.DataLoss, Reason: "RECORD_FORMAT"},
	{Is: fleet.ErrNotEnough, Code: codes.FailedPrecondition, Reason: "NOT_ENOUGH_PARTS"},
	{Is: fleet.ErrQuantity, Code: codes.InvalidArgument, Reason: "BAD_QUANTITY"},
	{Is: travel.ErrPlace, Code: codes.InvalidArgument, Reason: "BAD_PLACE"},
}
