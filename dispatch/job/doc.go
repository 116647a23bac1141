// Package job holds a call for help from the telephone to the invoice: what
// it takes, where it stands, who goes, and the port through which it is kept.
//
// Start with Job and its state machine (Transition), Requirement (what it
// takes, sure or only likely), and Store, the contract every store passes.
//
// It must not know how a technician is chosen, what words mean, what a part
// costs, how anything is stored or sent, or what time it is.
//
// A worked number: triage gives a worn belt 0.7 and a seized idler 0.2, the
// rest unknown. A van with the belt only ends the job in one visit with 0.7;
// with belt and idler 0.9; with neither 0.
package job
