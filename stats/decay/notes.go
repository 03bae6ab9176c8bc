package decay

import "fmt"

// notes says in plain words what limits the meaning of the numbers.
func (c *Curve) notes() []string {
	var notes []string
	add := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }

	if !c.Falls {
		add("no decay seen from time %g to %g: the mean fits as well as any falling curve", c.First, c.Last)
	}
	if c.Floor.State == AtBound {
		add("the floor is held at its bound of %g degrees: it has no limits, and all other limits take it as known", c.Floor.Value)
	}
	if c.Start.State == AtBound {
		add("the start is held at its bound of %g degrees: it has no limits, and all other limits take it as known", c.Start.Value)
	}
	if c.Tau.State == AtBound {
		add("the fall was over before readings could show its speed: tau and the time to a threshold have no limits")
	}
	if c.Falls && c.Solution.Covariance == nil {
		add("the readings do not tell start, floor and tau apart: there are no limits")
	}
	if c.Falls && c.Tau.Value > c.Last && c.Floor.State == Estimated {
		add("tau is longer than the readings last: the floor is extrapolated")
	}
	if c.Falls && c.Tau.Value < c.First {
		add("the first reading is at time %g, later than tau: the start is extrapolated", c.First)
	}
	if n := c.Solution.Clusters; n > 0 && n < fewClusters {
		add("limits come from %d clusters; with fewer than %d they tend to be too narrow", n, fewClusters)
	}
	return notes
}
