// Package mixed estimates what a fleet has in common and how its members
// differ: regressions and decay curves whose parameters vary at random from
// one group to the next, such as from vehicle to vehicle, and from one inner
// group to the next within each, such as from patch to patch.
//
// Linear fits the linear mixed model, Curves a curve of package decay. Random
// effects and errors are normal and independent of each other. Times have any
// unit, the same throughout.
//
// Typical and Of are the curves of a population and of one group. Draw gives
// Populations that the readings do not tell from the fitted one, and these how
// long groups last until they come down to a threshold (Life, and how far that
// agrees with an estimate from the ends that were seen) and what may be expected
// of one group (Outlook).
//
// Standard errors take the variances as known at their estimates, so with few
// groups they are too small; Notes say so. Limits of curves make up for it, and
// what is said over Populations counts that variances are estimates. None knows
// of a wrong shape of curve. What lies on the border of the
// possible, such as a variance of 0, is a result and is marked Singular.
//
// The package knows nothing of coatings, files or databases.
package mixed
