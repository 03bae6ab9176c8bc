// Package study holds the words and the rules of a durability field study:
// coatings on patches of vehicles, the checkups that read them, the care in
// between, and how all of it becomes a span for each patch.
//
// A [Fleet] is the whole of what is known. A log file, the simulator and the
// store each hand over one, and reports are made from one. [Protocol.Derive]
// turns a patch's history into a [Span], the interval in which the patch is
// known to have been spent.
//
// Dates are whole days without a time zone ([Day]); durations are whole days,
// so that two patches checked on one day are tied exactly. Everything here is
// a pure function of its arguments: no database, no files, no clock.
package study
