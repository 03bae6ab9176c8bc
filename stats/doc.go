// Package stats is the root of the statistics packages; it holds no code.
//
// Each family of methods is a package below it (survival, decay, …) that takes
// plain numbers and gives plain results. They import nothing of the rest of
// the project, so that each can be read, checked and used alone.
//
// Conventions they share: times and measurements come in whatever unit the
// caller uses and go out in the same; what cannot be estimated is a result
// (NaN, +Inf or a false flag, as each type says), never a panic; data that
// make no sense are an error that names the offending item; a panic means a
// programmer's mistake.
package stats
