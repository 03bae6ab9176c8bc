// Package check helps tests hold statistics against the outside world: it
// compares numbers with a stated tolerance and reads the reference cases under
// testdata/reference, whose README describes their format.
//
// Only tests import it.
package check
