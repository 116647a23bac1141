package dispatch

import (
	"encoding/base64"
	"strings"

	"onevisit/dispatch/job"
	"onevisit/services/refuse"
)

// Names of resources follow AIP-122. Their form is checked by the contract, so
// the functions here only take them apart and put them together.

func regionOf(parent string) string { return strings.TrimPrefix(parent, "regions/") }

// split takes "regions/R/kind/ID" apart.
func split(name string) (region, kind, id string) {
	f := strings.Split(name, "/")
	if len(f) < 4 {
		return "", "", ""
	}
	return f[1], f[2], f[3]
}

func technicianName(region, id string) string { return "regions/" + region + "/technicians/" + id }
func warehouseName(region, id string) string  { return "regions/" + region + "/warehouses/" + id }
func jobName(region, id string) string        { return "regions/" + region + "/jobs/" + id }

// optional names a resource unless the id is empty.
func optional(name func(region, id string) string, region, id string) string {
	if id == "" {
		return ""
	}
	return name(region, id)
}

// A page token is the last id of the page before. It is encoded so that nobody
// builds one by hand.

func pageOf(token string, size int32) (job.Page, error) {
	after, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil {
		return job.Page{}, refuse.Field("page_token", "BAD_PAGE_TOKEN", "not a token of an earlier page")
	}
	return job.Page{After: string(after), Size: int(size)}, nil
}

func tokenOf(after string) string { return base64.RawURLEncoding.EncodeToString([]byte(after)) }
