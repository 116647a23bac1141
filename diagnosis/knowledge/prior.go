package knowledge

import "math"

// setPriors turns the shares of calls into the prior of each fault on its own.
//
// A caller has at least one fault, and the faults are independent before that
// is known. With many small priors of sum s the number of faults is close to
// Poisson, so its mean given at least one is s/(1-exp(-s)); s is chosen to make
// that FaultsPerCall, and split over the faults by share in the usual mix of
// variants. Worked number: 1.12 faults per call gives s = 0.230, so a fault with
// 0.05 of shares that sum to 1 gets the prior 0.0115, and 0.056 given at least
// one.
//
// Source: the mean of a zero-truncated Poisson distribution.
func (f *Family) setPriors() {
	total := 0.0
	for i := range f.Faults {
		total += f.Faults[i].Share * f.mixed(&f.Faults[i])
	}
	if !(total > 0) {
		total = 1 // no fault can occur: leave the shares as they are
	}
	scale := truncatedRate(f.FaultsPerCall) / total
	for i := range f.Faults {
		f.Faults[i].Prior = min(f.Faults[i].Share*scale, 0.5)
	}
}

// mixed is the factor of a fault averaged over the usual mix of variants.
func (f *Family) mixed(fault *Fault) float64 {
	sum := 0.0
	for _, v := range f.Variants {
		factor, named := fault.Variants[v.Code]
		if !named {
			factor = 1
		}
		sum += v.Share * factor
	}
	return sum
}

// truncatedRate solves s/(1-exp(-s)) = mean for s by bisection; mean is above 1
// and s/(1-exp(-s)) grows with s from 1.
func truncatedRate(mean float64) float64 {
	low, high := 0.0, mean // s < s/(1-exp(-s)), so s lies below mean
	for range 80 {
		s := (low + high) / 2
		if s/-math.Expm1(-s) < mean {
			low = s
		} else {
			high = s
		}
	}
	return (low + high) / 2
}
