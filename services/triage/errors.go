package triage

import (
	"google.golang.org/grpc/codes"

	"onevisit/diagnosis/belief"
	"onevisit/diagnosis/evidence"
	"onevisit/services/refuse"
)

// Errors gives each error of the diagnosis rooms its code. Errors that can only
// come of bad knowledge are not in it: knowledge is checked when it is loaded,
// so they are defects of ours and INTERNAL. A test holds it complete.
var Errors = refuse.Table{
	{Is: evidence.ErrInvalid, Code: codes.InvalidArgument, Reason: "BAD_EVIDENCE"},
	{Is: belief.ErrUnknown, Code: codes.NotFound, Reason: "NOT_FOUND"},
	{Is: belief.ErrImpossible, Code: codes.InvalidArgument, Reason: "CONTRADICTION"},
}
