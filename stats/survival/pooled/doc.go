// Package pooled estimates how long lives of several kinds last in several
// places, such as coatings in climates, by partial pooling: what a cell of the
// table shows by itself is drawn towards what the other cells say of its kind
// and its place, the more so the less it shows.
//
// It works in two steps. An accelerated failure time model with an effect for
// each cell gives log medians with errors robust to clusters. These are then
// taken to differ by kind, by a random effect of the place that all kinds
// share, and by one of the cell, whose variances REML estimates. A place of
// which nothing is known is another draw from the places; its life is known
// with that much less.
//
// Time has any unit, above 0; medians come in the same unit.
package pooled
