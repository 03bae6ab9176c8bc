package reports

import (
	"context"
	"math"

	"beadspan/study"
)

// LetterCoat is what is told of one coating on a vehicle: what others like it
// did, and what may be expected of these panels.
type LetterCoat struct {
	Coating string // its name, or its code where it has none
	// Holding, Doubtful, Spent and Other panels of the vehicle carry it.
	Holding, Doubtful, Spent, Other int
	// Looked is the first of the days on which the holding panels were last read.
	Looked study.Day
	// Topped says that a topper lies on a holding panel: it hides how the coating is.
	Topped bool
	// AgeMonths is for how long the panels have been in service.
	AgeMonths float64

	// Class is the climate of the vehicles that Row is about; empty for all.
	Class string
	// Row is their row of the table of life.
	Row LifeRow
	// At is the share of their panels that still held at the age of the vehicle's:
	// at 12 months for a vehicle younger than youngMonths, and no later than they
	// were followed. It is nil where too little is known.
	At *Share

	// Outlook is nil where no panel holds.
	Outlook *LetterOutlook
	Chart   *LetterChart // nil without a reading of the angle
}

// youngMonths is the age up to which a letter tells of the first year, since at
// the vehicle's own age next to nothing has happened. House rule.
const youngMonths = 3

// tell works out what is told of one coating on a vehicle.
func (l *Letters) tell(ctx context.Context, coat []study.Followed) (*LetterCoat, error) {
	c := &LetterCoat{Coating: coatingName(coat[0].Coating), Topped: toppedAmong(coat)}
	for _, f := range coat {
		switch f.Span.Standing {
		case study.Holding:
			c.Holding++
			if day := lastRead(f); c.Holding == 1 || day < c.Looked {
				c.Looked = day
			}
		case study.Doubtful:
			c.Doubtful++
		case study.Spent:
			c.Spent++
		default:
			c.Other++
		}
		c.AgeMonths = math.Max(c.AgeMonths, float64(l.options.On-f.Patch.InService())/study.DaysPerMonth)
	}
	if err := l.compareCoat(ctx, c, coat[0]); err != nil {
		return nil, err
	}
	fall, err := l.fallOf(ctx, coat[0].Coating.Code)
	if err != nil {
		return nil, err
	}
	c.Chart = newLetterChart(coat, fall, l.options)
	c.Outlook, err = l.lookOut(coat, fall, c.Row.Curve)
	return c, err
}

// compareCoat finds what others like it did: in the same climate if enough is
// known there, else everywhere.
func (l *Letters) compareCoat(ctx context.Context, c *LetterCoat, f study.Followed) error {
	for _, by := range [][]By{{ByCoating, ByClimate}, {ByCoating}} {
		g := groupOf(f, by)
		if f.Site.Koppen == "" && len(by) > 1 {
			continue
		}
		row, err := l.row(ctx, g, by...)
		if err != nil {
			return err
		}
		c.Row, c.Class = *row, g.Climate
		if row.Curve != nil || row.NobodyFailed != nil {
			break
		}
	}
	if c.Row.Curve != nil {
		c.At = c.Row.Curve.atAge(c.AgeMonths)
	}
	return nil
}

// atAge is the share that a letter tells of, in whole months; nil where the
// curve ends before the first.
func (c *Curve) atAge(age float64) *Share {
	month := math.Floor(age)
	if age < youngMonths {
		month = 12
	}
	for i := len(c.Points) - 1; i >= 0; i-- {
		if p := c.Points[i]; p.Months > 0 && p.Months <= month && p.Months == math.Floor(p.Months) {
			return &p
		}
	}
	return nil
}

// lastRead is the day of a patch's last reading; that of its coating where it was
// never read.
func lastRead(f study.Followed) study.Day {
	last := f.Patch.Applied
	for _, c := range f.Vehicle.Checkups {
		for _, r := range c.Readings {
			if r.PatchID == f.Patch.ID {
				last = max(last, c.Day)
			}
		}
	}
	return last
}
