// Package pooling draws estimates that are alike towards each other, each by as
// much as its own uncertainty allows: partial pooling, or empirical Bayes.
//
// What is pooled are numbers with a known error covariance, such as log lives
// of several coatings in several climates. They share regression coefficients,
// and groups of them share random effects whose variances are estimated:
//
//	y = Xb + ∑ Zₖuₖ + e,  uₖ ~ N(0, τₖ²I),  e ~ N(0, V)
//
// Fit estimates b and the τ; Predict tells the true value behind an estimate,
// or that of a group which isn't in the data at all.
package pooling
