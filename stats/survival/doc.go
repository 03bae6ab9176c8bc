// Package survival estimates how long things last from spans, the intervals
// in which their lives are known to have ended.
//
// Time has any unit and any origin that all spans of a call share; results
// come in the same unit. A span is (Lower, Upper]: still good at Lower, ended
// by Upper. A life may have come under observation late, at its Entry, and a
// span may stand for more lives or less than one, its Weight.
//
// KaplanMeier and FlemingHarrington are for lives whose end is known to the day
// or not reached: a Curve has limits, quantiles, restricted means and bands.
// Turnbull is for lives seen only at visits, and for any mix. LogRank and
// ScoreTest compare groups of the one and of the other kind, lives taken one by
// one, and ClusterTest groups of any whose lives share clusters; CompareMeans tells
// by how much two such groups differ. Pairwise and Holm are for many comparisons. NobodyFailed is what can be said when no life
// ended, and CountLimits when few did, or nearly all.
//
// "Not reached" and "not defined" are answers: a quantile that the follow-up
// does not reach is +Inf, a number that the data do not define is NaN. Nothing
// is carried past the longest follow-up.
//
// The package knows nothing of coatings, files or databases.
package survival
