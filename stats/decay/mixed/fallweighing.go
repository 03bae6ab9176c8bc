package mixed

import (
	"errors"

	"beadspan/stats/decay"
)

// weighing is the work of ChooseFall.
type weighing struct {
	readings []Reading
	model    FallModel
	falls    []Fall
}

// exponentials fits the one towards a known floor, if there is one, and the one
// whose floor the readings tell.
func (w *weighing) exponentials() {
	if w.model.Floor == nil {
		w.coldly(decay.ExponentialShape, nil)
		return
	}
	known := w.coldly(decay.ExponentialShape, w.model.Floor)
	if known.Err != nil {
		w.coldly(decay.ExponentialShape, nil)
		return
	}
	own := Fall{Shape: decay.ExponentialShape}
	own.Fit, own.Err = grown(known.Fit.freed(0))
	if own.Err != nil && !errors.Is(own.Err, ErrNoSign) {
		w.coldly(decay.ExponentialShape, nil)
		return
	}
	w.take(own)
}

// coldly fits a fall from the curve through all readings.
func (w *weighing) coldly(shape decay.Shape, floor *float64) Fall {
	f := Fall{Shape: shape, FloorKnown: floor != nil}
	f.Fit, f.Err = w.model.cold(shape, w.readings, floor)
	return w.take(f)
}

// stretch tries the stretched fall to the floor of an exponential.
func (w *weighing) stretch(exponential Fall) {
	if exponential.Fit != nil {
		f := Fall{Shape: decay.StretchedShape, FloorKnown: exponential.FloorKnown}
		f.Fit, f.Err = grown(exponential.Fit.stretched())
		w.take(f)
		return
	}
	var floor *float64
	if exponential.FloorKnown {
		floor = w.model.Floor
	}
	var unsettled *NotConvergedError
	if errors.As(exponential.Err, &unsettled) {
		w.coldly(decay.StretchedShape, floor)
	}
}

// aicPerParameter is what a parameter must save of the deviance for the AIC to
// become lower.
const aicPerParameter = 2

// grown fits an extension, if there is a sign of it.
func grown(e *extension, err error) (*CurvesFit, error) {
	if err != nil {
		return nil, err
	}
	if e.gain() <= aicPerParameter {
		return nil, ErrNoSign
	}
	return e.fit()
}

// take adds a fall, and says so if it can't be chosen.
func (w *weighing) take(f Fall) Fall {
	if f.Fit != nil {
		typical := f.Fit.typicalValues()
		const floor, τ = 0, 2
		switch {
		case typical[floor] < 0:
			f.Err = ErrNoFloor
		case f.Shape == decay.StretchedShape && !f.FloorKnown && typical[τ] > f.Fit.Last:
			f.Err = ErrFloorUnseen
		}
	}
	w.falls = append(w.falls, f)
	return f
}

func (w *weighing) best(shape decay.Shape) *Fall {
	return lowest(w.falls, func(f Fall) bool { return f.Shape == shape })
}

// reason is why there is no fall to choose.
func (w *weighing) reason() error {
	var err error
	for _, f := range w.falls {
		if f.Shape == decay.ExponentialShape && !errors.Is(f.Err, ErrNoSign) {
			err = f.Err
		}
	}
	return err
}
