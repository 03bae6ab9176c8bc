package decay

import (
	"fmt"
	"strings"
)

// fewClusters is the number below which limits from the scatter between
// clusters are too narrow. Common practice, from memory: 20 to 30.
const fewClusters = 20

// notes says in plain words what limits the meaning of the numbers.
func (c *Curve) notes() []string {
	var notes []string
	add := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }

	if !c.Falls {
		add("no decay seen from time %g to %g: the mean fits as well as any falling curve", c.First, c.Last)
	}
	if c.floorHeld {
		add("the readings are too few to estimate a floor: it is held at 0 degrees, and a higher one would be reached later")
	}
	for _, p := range c.Solution.Parameters {
		if p.State == AtBound {
			notes = append(notes, c.boundNote(p))
		}
	}
	if c.Falls && c.Solution.Covariance == nil {
		add("the readings do not tell %s apart: there are no limits", c.freeNames())
	}
	if !c.Falls || c.Shape == LinearShape {
		return append(notes, c.clusterNotes()...)
	}
	middle := c.Tau
	if middle.State == Absent {
		middle = c.Solution.Parameters[c.form().bend]
	}
	if middle.Value > c.Last && c.Floor.State == Estimated {
		add("%s is longer than the readings last: the floor is extrapolated", middle.Name)
	}
	if middle.Value < c.First {
		add("the first reading is at time %g, later than %s: the %s is extrapolated", c.First, middle.Name, c.Start.Name)
	}
	return append(notes, c.clusterNotes()...)
}

// boundNote says what it means that a parameter is at its bound.
func (c *Curve) boundNote(p Parameter) string {
	unit := ""
	switch p.Name {
	case "tau", "width":
		if p.Value <= c.Last*shortestScale*(1+1e-9) {
			return fmt.Sprintf("the fall was over before readings could show its speed: %s and the time to a threshold have no limits", p.Name)
		}
	case "floor", "start", "top":
		unit = " degrees"
	}
	return fmt.Sprintf("the %s is held at its bound of %g%s: it has no limits, and all other limits take it as known", p.Name, p.Value, unit)
}

// freeNames lists the parameters that were to be estimated, as in "a, b and c".
func (c *Curve) freeNames() string {
	var names []string
	for _, p := range c.Solution.Parameters {
		if p.State == Undetermined {
			names = append(names, p.Name)
		}
	}
	if n := len(names) - 1; n > 0 {
		return strings.Join(names[:n], ", ") + " and " + names[n]
	}
	return strings.Join(names, "")
}

func (c *Curve) clusterNotes() []string {
	if n := c.Solution.Clusters; n > 0 && n < fewClusters {
		return []string{fmt.Sprintf("limits come from %d clusters; with fewer than %d they tend to be too narrow", n, fewClusters)}
	}
	return nil
}
