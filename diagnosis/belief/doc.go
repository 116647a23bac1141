// Package belief works out what is wrong: the exact probability of each fault,
// given everything known about one appliance.
//
// Start from [Compile], which turns a family of knowledge into a [Model] once;
// [Model.Posterior], which conditions it on evidence; and [Posterior], which
// answers for faults, part kinds and whole sets of faults. [Model.Explain] says
// why, in log-odds that add up. [Model.Estimate] is for weighing many cases of
// which none is reported.
//
// The model is a two-layer leaky noisy-OR network (Pearl, Probabilistic
// Reasoning in Intelligent Systems, 1988; leak: Henrion 1987): a finding is
// absent with probability (1-leak)·Π(1-q) over the faults present. Several
// faults may be present at once and, as somebody has called, at least one is.
// Faults are independent beforehand save for cause links: given that From is
// present, To is present with 1-(1-prior)(1-P).
//
// It must not know text, questions, prices, transport, storage or the clock.
//
// Worked number: faults with priors 0.10, 0.05 and 0.20 that cause a finding
// (leak 0.01) with 0.80, 0.60 and 0. Seeing the finding, without the condition
// that a fault is present, gives 0.7826, 0.1762 and 0.2000.
package belief
