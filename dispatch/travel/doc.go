// Package travel says how far and how long it is from one place to another.
//
// Start with Place, Kilometres (the great circle) and Model, which makes a
// drive of it: road kilometres and whole minutes.
//
// It must not know who drives or why, and it asks no map: with no map at hand,
// a road factor and a speed are what can be said honestly.
//
// A worked number: one degree of latitude is 111.195 km on the great circle.
// With road factor 1.34 and 2 minutes a kilometre that is 149.0 km and 298
// minutes.
package travel
