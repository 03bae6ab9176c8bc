package decay

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Comparison weighs several curves of the same points against each other.
type Comparison struct {
	// Fits are the curves, the best first. Shapes that show no fall are one
	// and the same constant, which is listed once.
	Fits []WeighedFit

	// Notes are what a reader must know beside the numbers, in plain words.
	Notes []string
}

// WeighedFit is a curve with its weight of evidence.
type WeighedFit struct {
	Curve *Curve

	// Delta is how far its AICc is above the lowest; Weight is its share of
	//
	//	e^(−Delta/2)
	//
	// among all fits, from 0 to 1.
	Delta, Weight float64
}

// Compare fits each of the candidates and weighs the curves by AICc. The
// smallest AICc is the best guess of which will predict best, not the truth:
// shapes within 2 of it are about as good, and Comparison.TimeTo speaks for all.
//
// A candidate that the points are too few for, or whose floor is above them, is
// left out, and a note says so; if that leaves none, its error is returned. So
// are all other errors of Fit, and a loss other than squares, which has no AICc.
// With too few points for any AICc (n ≤ p + 2) the weight is with the fewest
// parameters, and a note says so.
//
// Source: Burnham and Anderson, Model Selection and Multimodel Inference, 2nd
// ed. (2002) sections 2.6 and 2.9.
func Compare(points []Point, candidates ...Options) (*Comparison, error) {
	c := &Comparison{}
	var left error
	for _, options := range candidates {
		if options.Loss != Squares {
			return nil, fmt.Errorf("compare decay: curves under the loss %s cannot be weighed against each other", options.Loss)
		}
		curve, err := Fit(points, options)
		switch {
		case errors.Is(err, ErrTooFew), errors.Is(err, ErrFloor):
			left = cmp.Or(left, err)
			c.Notes = append(c.Notes, fmt.Sprintf("%s is left out: %v", options.describe(), err))
		case err != nil:
			return nil, fmt.Errorf("compare decay: %w", err)
		case curve.Falls || !slices.ContainsFunc(c.Fits, func(f WeighedFit) bool { return !f.Curve.Falls }):
			c.Fits = append(c.Fits, WeighedFit{Curve: curve})
		}
	}
	if len(c.Fits) == 0 {
		return nil, fmt.Errorf("compare decay: no candidate: %w", cmp.Or(left, ErrTooFew))
	}
	c.weigh()
	return c, nil
}

// describe names what options ask for.
func (o Options) describe() string {
	shape := cmp.Or(o.Shape, ExponentialShape)
	if o.Floor == nil || shape == LinearShape {
		return string(shape)
	}
	return fmt.Sprintf("%s with its floor at %g degrees", shape, *o.Floor)
}

// Best returns the curve of most weight.
func (c *Comparison) Best() *Curve { return c.Fits[0].Curve }

// weigh fills in the weights and sorts by them.
func (c *Comparison) weigh() {
	slices.SortStableFunc(c.Fits, func(a, b WeighedFit) int {
		return cmp.Or(cmp.Compare(a.Curve.Solution.AICc, b.Curve.Solution.AICc), -cmp.Compare(a.Curve.Solution.DF, b.Curve.Solution.DF))
	})
	lowest := c.Best().Solution.AICc
	if math.IsInf(lowest, 1) {
		c.Notes = append(c.Notes, "the readings are too few to weigh shapes of curve against each other: the one with fewest parameters is taken")
	}
	total := 0.0
	for i := range c.Fits {
		f := &c.Fits[i]
		f.Delta = f.Curve.Solution.AICc - lowest
		switch {
		case i == 0:
			f.Delta = 0
		case math.IsInf(lowest, 0): // fewest parameters come first
			f.Delta = math.Inf(1)
		}
		f.Weight = math.Exp(-f.Delta / 2)
		total += f.Weight
	}
	for i := range c.Fits {
		c.Fits[i].Weight /= total
	}
	if c.Best().Solution.Clusters > 0 {
		c.Notes = append(c.Notes, "the weights of the shapes take readings as independent, which those of one cluster are not")
	}
}
