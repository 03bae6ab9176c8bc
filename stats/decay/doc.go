// Package decay fits curves to values that fall with time, such as the contact
// angle of water on a coating, and tells when a curve crosses a threshold.
//
// Fit is for contact angles: it finds its own start for each Shape, keeps to
// what an angle can be, and says when the readings show no fall. Compare weighs
// several shapes against each other, since the readings seldom tell which is
// right. LeastSquares is the solver below, for any Model with exact
// derivatives. Time has any unit, the same throughout; whatever is returned as
// a time has that unit.
//
// Limits are by default those of the curve taken as straight around the
// estimate; ProfileLimits and ProfileTimeTo follow its bend, and are the ones
// to trust when readings are few. CheckResiduals asks whether a fit is what it
// is taken for, and a Loss keeps odd readings from pulling it.
//
// Readings of one vehicle are not independent of each other. Unless they are
// put in a Cluster and Clustered is asked for, limits are those of independent
// readings and too narrow for a fleet.
//
// A quantity that the readings cannot tell is NaN and its State says why; an
// error is kept for data or settings that no curve can be fitted to. The
// package knows nothing of coatings, files or databases.
package decay
