// Package arrows holds no code, only the tests that keep the map of the house
// true: which room may import which, what a room must not know, that every room
// says what it is for, and that files stay small enough to hold in the head.
//
// The rules stand in the test itself, each with its reason; DEVELOPERS.md shows
// the same map as a picture.
package arrows
