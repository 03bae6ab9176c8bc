package store

// Explain and Refusals let tests hold what the store says against what the
// database refuses.
var (
	Explain  = explain
	Refusals = refusals
)
