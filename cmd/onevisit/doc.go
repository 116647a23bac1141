// Command onevisit runs the services, asks them, and shows the main job without
// any set-up.
//
// Start from [run], which is the whole program with everything it touches
// handed in; the commands are one file each, named after them. Without --server
// a command starts all services in this very process and asks them by the same
// gRPC calls.
//
// It must not decide anything about faults, parts, prices or routes: it reads
// flags and files, asks, and hands the answer to the screens.
//
// Worked number: the exit code is 0 when the command did what it was asked, 1
// when it was refused or failed, 2 when it was called wrongly.
package main
