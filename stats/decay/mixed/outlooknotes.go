package mixed

import (
	"fmt"
	"math"
)

// fewReadings of its own leave a group's outlook to the population. Common
// practice, no source.
const fewReadings = 3

// count fills what the outlook rests on.
func (o *Outlook) count(group posterior) {
	o.Basis = NoneOfItsOwn
	if group.alone == nil {
		return
	}
	readings := group.alone.l.readings
	if o.Others = len(readings); group.size[0] > 0 {
		o.Basis = SameOuter
	}
	if group.inner < 0 {
		return
	}
	own := group.alone.l.inner[group.inner]
	o.Basis, o.Own, o.Others = OwnReadings, own.len(), len(readings)-own.len()
	o.OwnFirst, o.OwnLast = math.Inf(1), math.Inf(-1)
	for _, r := range readings[own.from:own.to] {
		o.OwnFirst, o.OwnLast = min(o.OwnFirst, r.Time), max(o.OwnLast, r.Time)
	}
}

// explain says what the numbers do not.
func (o *Outlook) explain(f *CurvesFit, covariates []float64) {
	switch {
	case o.Basis == NoneOfItsOwn:
		o.note("No readings of its own: this is the outlook of any like it, not of this one.")
	case o.Basis == SameOuter:
		o.note("No readings of its own: the outlook rests on %d readings of those it belongs with, and on the others.", o.Others)
	case o.Own < fewReadings:
		o.note("Only %s of its own: the outlook is mostly that of others like it.", plural(o.Own, "reading"))
	case o.shallow(f, covariates):
		o.note("Its readings are so close in time that a typical fall between the first and the last is lost in the error of reading: how fast it falls is known from others only.")
	}
	if groups := f.groupsLearntFrom(); groups < fewGroups {
		o.note("Only %d groups to learn from: how much groups differ is hardly known, and the limits are wide for that.", groups)
	}
	if f.Singular {
		o.note("The data show no spread between groups in at least one random effect; the outlook counts that a little may be there.")
	}
	if n := len(o.Points); n > 0 && o.Points[n-1].Extrapolated {
		o.note("Nothing was read of any after time %.4g: what is said of later times rests on the shape of the curve.", f.Last)
	}
	if o.Agreeing < 0.5 {
		o.note("Its readings alone would say that it has come down to the threshold already; the outlook is that of the curves which have not.")
	}
}

// shallow reports whether a typical curve falls less over the group's own
// readings than two single readings differ by chance (2σ).
func (o *Outlook) shallow(f *CurvesFit, covariates []float64) bool {
	typical := f.Typical(covariates)
	from, _ := typical.at(o.OwnFirst)
	to, _ := typical.at(o.OwnLast)
	return from-to < 2*f.ResidualSD
}

func (o *Outlook) note(format string, parts ...any) {
	o.Notes = append(o.Notes, fmt.Sprintf(format, parts...))
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
