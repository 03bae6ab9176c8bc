// Package aft fits accelerated failure time models to spans: the logarithm of a
// life is a linear function of covariates plus a scaled error,
//
//	log T = x'b + σ W
//
// where W has one of four standard distributions. A covariate that raises x'b
// by c makes every life e^c times as long.
//
// Fit estimates b and σ by maximum likelihood from any mix of exact, left-,
// right- and interval-censored spans with delayed entry and weights; Choose
// tries all distributions. FitMixed adds a random intercept for lives that
// share a group. The results tell quantiles and survival with limits, what
// remains for a life that still holds, and CheckFit how well the distribution
// follows the Turnbull estimate.
//
// Time has any unit, above 0; results come in the same unit. What the spans do
// not determine is a *NotEstimableError that says why, never a number that the
// search happened to stop at.
package aft
