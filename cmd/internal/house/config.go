package house

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc/credentials"

	"onevisit/dispatch/offer"
	"onevisit/dispatch/travel"
)

// The roles a process can take.
const (
	Triage   = "triage"
	Parts    = "parts"
	Dispatch = "dispatch"
	All      = "all"
)

// ErrConfig is wrapped by every error about a setting.
var ErrConfig = errors.New("house: setting")

// Config of a process.
type Config struct {
	// Roles that run here; Roles(All) for all of them.
	Roles []string
	// TriageAddress and PartsAddress are where dispatch finds the roles that do
	// not run here, as gRPC targets.
	TriageAddress, PartsAddress string
	// Store is where dispatch keeps its state: "file:PATH", "redis://HOST:PORT/DB"
	// or "temporary" for a file that is removed at the end.
	Store string
	// Knowledge and Prices overlay what is embedded; nil means nothing.
	Knowledge, Prices fs.FS
	// Travel and Costs; zero values mean the defaults of the dispatch rooms.
	Travel travel.Model
	Costs  *offer.Costs
	// Now tells the time; nil means the wall clock in Zone.
	Now func() time.Time
	// Zone is whose midnights part the days; nil means UTC.
	Zone *time.Location
	// ServerTLS and ClientTLS; nil means plain text.
	ServerTLS, ClientTLS credentials.TransportCredentials
	// Limit is how many calls are served at once; 0 means the host's default.
	Limit int
	Log   *zap.Logger
}

// Roles takes a list such as "triage,parts" apart.
func Roles(list string) ([]string, error) {
	if list == All || list == "" {
		return []string{Triage, Parts, Dispatch}, nil
	}
	var out []string
	for _, r := range strings.Split(list, ",") {
		r = strings.TrimSpace(r)
		switch r {
		case Triage, Parts, Dispatch:
		default:
			return nil, fmt.Errorf("%w: role %q is none of triage, parts, dispatch, all", ErrConfig, r)
		}
		if !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out, nil
}

func (c Config) has(role string) bool { return slices.Contains(c.Roles, role) }

func (c Config) validate() error {
	if len(c.Roles) == 0 {
		return fmt.Errorf("%w: no role", ErrConfig)
	}
	if !c.has(Dispatch) {
		return nil
	}
	if !c.has(Triage) && c.TriageAddress == "" {
		return fmt.Errorf("%w: dispatch asks triage; run it here or give its address", ErrConfig)
	}
	if !c.has(Parts) && c.PartsAddress == "" {
		return fmt.Errorf("%w: dispatch asks parts; run it here or give its address", ErrConfig)
	}
	return nil
}
