package screen

import (
	"errors"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// flags are the command's names for fields of the contract.
var flags = []struct{ field, flag string }{
	{"appliance.family", "--family"},
	{"appliance.variant", "--variant"},
	{"appliance.age_years", "--age"},
	{"appliance.model", "--model"},
	{"language_code", "--language"},
	{"answers", "--answer"},
	{"place.location", "--at"},
	{"place.label", "--label"},
	{"window", "--window"},
	{"request_id", "--request-id"},
	{"context.family", "--family"},
	{"context.supply_volts", "--volts"},
	{"context.supply_hertz", "--hertz"},
	{"text", "TEXT"},
	{"customer_words", "TEXT"},
	{"part_kind", "KIND"},
	{"original", "ORIGINAL"},
	{"candidate", "CANDIDATE"},
	{"parent", "--region"},
}

// Say turns an error into one clear line for each thing that is wrong. server
// is where the calls went, "" for this very process; requestID finds the call in
// the server's log.
func Say(err error, server, requestID string) []string {
	var refused interface{ GRPCStatus() *status.Status }
	if !errors.As(err, &refused) {
		return strings.Split(err.Error(), "\n")
	}
	st := refused.GRPCStatus() // not status.FromError, whose text holds the code's name once wrapped
	var out []string
	for _, d := range st.Details() {
		if bad, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range bad.GetFieldViolations() {
				out = append(out, field(v.GetField())+": "+v.GetDescription())
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	switch st.Code() {
	case codes.Unavailable:
		if server != "" {
			return []string{"cannot reach " + server + ": " + st.Message()}
		}
	case codes.DeadlineExceeded:
		return []string{"no answer in time; --timeout allows more"}
	case codes.Internal, codes.Unknown:
		return []string{st.Message() + " (request id " + requestID + ")"}
	}
	return []string{st.Message()}
}

// field names a field of the contract together with the flag that sets it.
func field(path string) string {
	path = strings.TrimPrefix(path, "job.")
	for _, f := range flags {
		if path == f.field || strings.HasPrefix(path, f.field+".") || strings.HasPrefix(path, f.field+"[") {
			return f.flag + " (" + path + ")"
		}
	}
	return path
}
