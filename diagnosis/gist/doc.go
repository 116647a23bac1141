// Package gist hears what a clause says from the words in it, by a linear model
// trained on phrases people say.
//
// Start from [Train], which fits a [Model] to labelled examples, and
// [Model.Score], which gives for every label how much more likely it is than
// before anything was heard. The model is one logistic regression per label over
// named features, fitted by FTRL-proximal steps (McMahan et al., "Ad click
// prediction: a view from the trenches", KDD 2013; from memory), which leaves
// most weights at exactly zero, so that a model is small and a person can read
// why it answers as it does.
//
// It must not know language, appliances or findings: features and labels are
// strings that the wording room makes.
//
// Worked number: a label seen in 1 of 100 examples has prior odds 1/99. A clause
// the model finds as likely as not has odds 1, and so a ratio of 99.
package gist
