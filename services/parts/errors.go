package parts

import (
	"google.golang.org/grpc/codes"

	"onevisit/pricing/catalogue"
	"onevisit/pricing/marking"
	"onevisit/pricing/price"
	"onevisit/pricing/quote"
	"onevisit/services/refuse"
)

// Errors gives each error of the pricing rooms its code. A test holds it
// complete.
var Errors = refuse.Table{
	{Is: marking.ErrEmpty, Code: codes.InvalidArgument, Reason: "EMPTY_MARK"},
	{Is: marking.ErrLong, Code: codes.InvalidArgument, Reason: "LONG_MARK"},
	{Is: marking.ErrKind, Code: codes.InvalidArgument, Reason: "NO_PART_KIND"},
	{Is: catalogue.ErrPart, Code: codes.NotFound, Reason: "PART_NOT_PRICED"},
	{Is: catalogue.ErrModel, Code: codes.NotFound, Reason: "MODEL_NOT_LISTED"},
	{Is: quote.ErrProbability, Code: codes.InvalidArgument, Reason: "BAD_PROBABILITY"},
	{Is: quote.ErrOutcome, Code: codes.InvalidArgument, Reason: "BAD_OUTCOME"},
	{Is: price.ErrRange, Code: codes.OutOfRange, Reason: "AMOUNT_TOO_LARGE"},
}
