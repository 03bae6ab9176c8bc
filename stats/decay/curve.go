package decay

import (
	"math"
	"slices"
)

// Curve is a falling curve fitted to contact angles.
type Curve struct {
	Shape Shape

	// Falls is false if no falling curve fits the points better than their
	// mean: no decay was seen. Start is then the weighted mean, an Estimated
	// angle that holds throughout, Tau is +Inf and a floor that was not given
	// is NaN, both Undetermined.
	Falls bool

	// Floor and Start are the ends of the fall in degrees: the parameters
	// "floor" and "start", or "top" of a logistic fall. The floor of a line is
	// Absent.
	Floor, Start Parameter

	// Tau is τ in the unit of time; Absent but for exponential and stretched.
	Tau Parameter

	First, Last float64 // times of the first and last point

	// Notes are what a reader must know beside the numbers, in plain words.
	Notes []string

	// Solution is of the Shape's model, with all its parameters, or of one
	// constant if nothing falls.
	Solution *Solution

	floorHeld bool // at 0° for lack of readings
}

// describe fills in what follows from a solution, with a floor that was not
// estimated.
func (c *Curve) describe(solution *Solution, floor *float64) {
	c.Solution = solution
	c.Floor, c.Tau = c.part("floor"), c.part("tau")
	if c.Falls {
		c.Start = solution.Parameters[c.startAt()]
	} else {
		c.Start = solution.Parameters[0]
		c.Start.Name = c.Shape.Model().Parameters[c.startAt()]
	}
	if !c.Falls && c.Floor.State == Undetermined && floor != nil {
		c.Floor.Value, c.Floor.State = *floor, Fixed
	}
	if !c.Falls && c.Tau.State == Undetermined {
		c.Tau.Value = math.Inf(1)
	}
	c.Notes = c.notes()
}

// startAt is the place of the parameter that the shape falls from.
func (c *Curve) startAt() int {
	if c.Shape == LinearShape {
		return lineStartAt
	}
	return c.form().start
}

func (c *Curve) form() form { return c.Shape.form(c.Last) }

// part returns the parameter of a name: Absent if the shape has none of it,
// and Undetermined if nothing falls.
func (c *Curve) part(name string) Parameter {
	at := slices.Index(c.Shape.Model().Parameters, name)
	switch {
	case at < 0:
		return Parameter{Name: name, Value: math.NaN(), SE: math.NaN(), State: Absent}
	case !c.Falls:
		return Parameter{Name: name, Value: math.NaN(), SE: math.NaN(), State: Undetermined}
	}
	return c.Solution.Parameters[at]
}
