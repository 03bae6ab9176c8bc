package decay

import "errors"

// attempt is a search and where it led.
type attempt struct {
	model    Model
	start    []float64
	settings Settings
	solution *Solution
	settled  bool
}

// attempt searches by least squares. If it comes to no rest, nothing is known
// about the parameters of the solution.
func (f *fitting) attempt(model Model, start []float64, settings Settings) (*attempt, error) {
	a := &attempt{model: model, start: start, settings: settings}
	return a, f.run(a)
}

func (f *fitting) run(a *attempt) (err error) {
	a.solution, err = leastSquares(a.model, f.points, a.start, a.settings)
	var unsettled *NotConvergedError
	if err != nil && !errors.As(err, &unsettled) {
		return err
	}
	a.settled = err == nil
	for j := range a.solution.Parameters {
		if p := &a.solution.Parameters[j]; p.State == Fixed && (p.Name != "floor" || f.floor == nil) {
			p.State = AtBound
		}
	}
	return nil
}
