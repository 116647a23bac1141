package travel

import (
	"math"
	"time"
)

// EarthKm is the mean radius of the earth in kilometres, R1 = (2a + b)/3.
//
// Source: IUGG mean radius of the GRS80 ellipsoid, 6371.0088 km (value from
// memory).
const EarthKm = 6371.0088

// Kilometres returns the great-circle distance between two places on a sphere
// of radius EarthKm, by the haversine formula. It is 0 or more, symmetric, and
// at most half the circumference, 20015.1 km.
//
// Against the ellipsoid the error is at most 0.57 % (on a meridian near the equator), usually under
// 0.3 %; roads differ far more, see Model.
func Kilometres(a, b Place) float64 {
	const rad = math.Pi / 180
	sinLat := math.Sin((b.Lat - a.Lat) * rad / 2)
	sinLng := math.Sin((b.Lng - a.Lng) * rad / 2)
	h := sinLat*sinLat + math.Cos(a.Lat*rad)*math.Cos(b.Lat*rad)*sinLng*sinLng
	// Rounding may push h over 1 for points opposite each other.
	return 2 * EarthKm * math.Asin(math.Sqrt(min(h, 1)))
}

// Model turns a pair of places into a drive.
type Model struct {
	// RoadFactor is road kilometres per great-circle kilometre, 1 or more.
	RoadFactor float64
	// MinutesPerKm is driving minutes per road kilometre, above zero.
	MinutesPerKm float64
}

// Leg is one drive.
type Leg struct {
	// Kilometres by road.
	Kilometres float64
	// Drive is a whole number of minutes: people are told whole minutes, and the
	// plan uses what they are told.
	Drive time.Duration
}

// Leg returns the drive from a to b: kilometres by road, and minutes rounded
// to the nearest whole one, halves up.
func (m Model) Leg(a, b Place) Leg {
	km := m.RoadFactor * Kilometres(a, b)
	return Leg{Kilometres: km, Drive: time.Duration(math.Floor(km*m.MinutesPerKm+0.5)) * time.Minute}
}
