package travel

import (
	"errors"
	"fmt"
	"math"
)

// ErrPlace marks a latitude or longitude that names no point on the earth.
var ErrPlace = errors.New("travel: not a place")

// Place is a point on the earth.
//
// Lat is in degrees north, -90 to 90; Lng in degrees east, -180 to 180. The
// zero value is a real point (in the sea off Africa), so where a place may be
// absent the type around it says so, with a pointer or a flag.
type Place struct {
	Lat, Lng float64
}

// Validate returns an error wrapping ErrPlace when a coordinate is not finite
// or out of range, and nil otherwise.
func (p Place) Validate() error {
	// Written so that NaN fails too: every comparison with NaN is false.
	if !(math.Abs(p.Lat) <= 90) {
		return fmt.Errorf("%w: latitude %g is not within -90 to 90", ErrPlace, p.Lat)
	}
	if !(math.Abs(p.Lng) <= 180) {
		return fmt.Errorf("%w: longitude %g is not within -180 to 180", ErrPlace, p.Lng)
	}
	return nil
}
