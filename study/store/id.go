package store

import "beadspan/study"

// raw is an id as the driver sends and reads it fastest. A study.ID itself goes
// by way of text, which takes most of the time of a large load.
type raw = [16]byte

// rawOrNull is an id that may be missing.
func rawOrNull(id *study.ID) *raw { return (*raw)(id) }
