// Package procedure orders the checks on site: the cheapest order that is safe,
// in expected minutes until the fault is found.
//
// Start from [Plan], which makes a [Procedure] for a person from a posterior.
// Underneath lies [Solve] on an abstract [Problem]: tasks that find faults with
// some probability, groups that must be opened and are paid once, tasks that
// must follow others, and giving up. [Estimator] is the quick form, for
// weighing questions on the phone.
//
// Safety is order, not advice: nothing behind a panel before the machine is
// isolated, proved dead and discharged; live measurement only after the dead
// tests that could decide; gas, refrigerant circuit and microwave high voltage
// only for a person with the licence, others are told to leave it. The sequence
// is data, see rules.yaml.
//
// It must not know text, parts stock, prices, transport, storage or the clock.
//
// Worked number: four faults of 0.40, 0.25, 0.20 and 0.15 with checks of 50, 20,
// 30 and 10 minutes are looked for in the order 4, 2, 1, 3, by falling
// probability per minute, which takes 63 minutes on average; by probability
// alone it takes 74.
package procedure
