package reports

import (
	"math"

	"beadspan/study"
)

// Curve is an estimate of the share of patches that still hold, by months in
// service.
type Curve struct {
	// Stretches are where the share falls, in order.
	Stretches []Stretch
	// EndMonths is where knowledge ends.
	EndMonths float64
	// Points are the share at every half month up to EndMonths.
	Points []Share

	sample sample
}

// Stretch is a time within which the share falls from Before to After. No
// checkup tells how: patches were seen holding before it and spent after it.
type Stretch struct {
	FromMonths, ToMonths float64
	Before, After        float64
}

// endShare is the share where knowledge ends.
func (c Curve) endShare() float64 {
	if len(c.Stretches) == 0 {
		return 1
	}
	return c.Stretches[len(c.Stretches)-1].After
}

// followed counts the patches still followed at a time.
func (c Curve) followed(months float64) int {
	return c.sample.atRisk(math.Round(months * study.DaysPerMonth))
}
