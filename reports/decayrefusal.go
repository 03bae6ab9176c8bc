package reports

import (
	"errors"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
)

// why says in plain words what the readings lack for a model; empty for an
// error that is a fault.
func why(err error) string {
	var unsettled *mixed.NotConvergedError
	switch {
	case errors.Is(err, mixed.ErrNoFloor):
		return "the readings fall so straight that they tell no floor, and one came out below 0°"
	case errors.Is(err, decay.ErrFloor):
		return "the readings don’t lie above those of the uncoated panels"
	case errors.Is(err, decay.ErrTooFew), errors.Is(err, mixed.ErrTooFew):
		return "there are too few clean readings, or too few at different times"
	case errors.Is(err, mixed.ErrNotIdentified):
		return "the readings show no fall, or don’t tell the differences between patches from the error of reading"
	case errors.As(err, &unsettled):
		return "no curves settled on these readings"
	}
	return ""
}
