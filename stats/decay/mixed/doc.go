// Package mixed estimates what a fleet has in common and how its members
// differ: regressions and decay curves whose parameters vary at random from
// one group to the next, such as from vehicle to vehicle, and from one inner
// group to the next within each, such as from patch to patch.
//
// Linear fits the linear mixed model, Curves a curve of package decay. Random
// effects and errors are normal and independent of each other. Times have any
// unit, the same throughout.
//
// Standard errors take the variances as known at their estimates, so with few
// groups they are too small; Notes say so. What lies on the border of the
// possible, such as a variance of 0, is a result and is marked Singular.
//
// The package knows nothing of coatings, files or databases.
package mixed
