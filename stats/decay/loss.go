package decay

import (
	"fmt"
	"math"
)

// Loss says what a residual costs.
type Loss string

// Under Squares one odd reading can pull a curve far. Huber's loss limits that
// pull, Tukey's bisquare ends it for readings far off. Both lose a twentieth of
// the information if nothing is odd.
const (
	Squares Loss = ""
	Huber   Loss = "huber"
	Tukey   Loss = "tukey"
)

// The constants that keep 95 % of the efficiency of least squares under normal
// errors, in units of the scale (Venables and Ripley, Modern Applied Statistics
// with S, 4th ed. (2002) section 6.5).
const (
	huberReach = 1.345
	tukeyReach = 4.685
)

// trust returns ψ(u)/u, the share of its weight that a residual of u scales
// keeps:
//
//	Huber  min(1, k/|u|),  k = 1.345
//	Tukey  (1 − (u/c)²)² within |u| < c = 4.685, else 0
func (l Loss) trust(u float64) float64 {
	switch l {
	case Huber:
		return huberReach / max(math.Abs(u), huberReach)
	case Tukey:
		inside := max(0, 1-u*u/(tukeyReach*tukeyReach))
		return inside * inside
	}
	return 1
}

// slope returns ψ′(u).
func (l Loss) slope(u float64) float64 {
	switch l {
	case Huber:
		if math.Abs(u) > huberReach {
			return 0
		}
	case Tukey:
		v := u * u / (tukeyReach * tukeyReach)
		return max(0, 1-v) * (1 - 5*v)
	}
	return 1
}

func (l Loss) check() error {
	switch l {
	case Squares, Huber, Tukey:
		return nil
	}
	return fmt.Errorf("no loss is named %q; choose from %s, %s", string(l), Huber, Tukey)
}
