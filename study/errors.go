package study

import "errors"

// ErrNotFound says that what was asked for by its code or ID isn't stored.
var ErrNotFound = errors.New("not found")
