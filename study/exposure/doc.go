// Package exposure adds up what weather, care and road do to a patch between
// two days: ultraviolet on its panel, freeze-thaw days, salt, heat, washes and
// kilometres. With it a life can be told in other measures than months, and a
// patch's year be held against another's.
//
// The weather is that of a usual year at the vehicle's site, by study/climate,
// and not that of the very days: a mild winter counts as any other. Every month
// brings its load evenly over its days. What the site's normals don't tell is
// missing, with a reason; what rests on an assumption is named in it.
package exposure
