// Package gist hears what a clause says from the words in it, by a linear model
// trained on phrases people say.
//
// Start from [Train], which fits a [Model] to labelled examples, and
// [Model.Score], which gives every label its probability. The model is a softmax
// regression over named features: labels compete, so that a word which could
// mean many things raises none of them. It is fitted by FTRL-proximal steps
// (McMahan et al., "Ad click prediction: a view from the trenches", KDD 2013;
// from memory), which leave most weights at exactly zero, so that a model is
// small and a person can read why it answers as it does.
//
// It must not know language, appliances or findings: features and labels are
// strings that the wording room makes.
//
// Worked number: two labels whose weights for a word are 2 and 0, and no others:
// the first has probability e²/(e²+1) = 0.881.
package gist
