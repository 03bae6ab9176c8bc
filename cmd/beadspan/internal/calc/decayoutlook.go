package calc

import (
	"strings"

	"beadspan/stats/decay"
)

// prediction is a fitted curve at one time.
type prediction struct {
	X      Number    `json:"x"`
	Fit    Number    `json:"fit"`
	SE     Number    `json:"se"`
	Limits [2]Number `json:"ci"`
	New    [2]Number `json:"prediction_interval"`
}

// crossing is when a curve comes down to a threshold.
type crossing struct {
	Threshold Number `json:"threshold"`
	Time      Number `json:"time"`
	SE        Number `json:"se"`
	limitsPair
	Outcome      decay.Outcome `json:"outcome"`
	Extrapolated bool          `json:"extrapolated"`
}

func newPrediction(p decay.Prediction) prediction {
	return prediction{Number(p.Time), Number(p.Value), Number(p.SE),
		[2]Number{Number(p.Lower), Number(p.Upper)}, [2]Number{Number(p.NewLower), Number(p.NewUpper)}}
}

func newCrossing(x decay.Crossing) crossing {
	return crossing{Number(x.Threshold), Number(orNaN(x.Time)), Number(x.SE),
		limitsPair{Number(x.Lower), Number(x.Upper)}, x.Outcome, x.Extrapolated}
}

// row is a row of a table of estimates, limits and limits of new readings.
func (p prediction) row() []string {
	return []string{"value at " + short(p.X), short(p.Fit), short(p.SE), short(p.Limits[0]), short(p.Limits[1]),
		short(p.New[0]), short(p.New[1])}
}

// row is a row of a table of estimates and limits.
func (x crossing) row() []string {
	return []string{"time to " + short(x.Threshold), x.when(), short(x.SE), short(x.Lower), short(x.Upper)}
}

// when says when a curve comes down to a threshold.
func (x crossing) when() string {
	switch {
	case x.Outcome == decay.NotReached:
		return "never"
	case x.Outcome == decay.BelowFromStart:
		return "from the start"
	case x.Extrapolated:
		return short(x.Time) + " †"
	}
	return short(x.Time)
}

// explainDagger says what † means where a time has one.
func (p *page) explainDagger() {
	if strings.Contains(p.String(), "†") {
		p.line("† outside the times of the readings: it rests on the shape of the curve alone\n")
	}
}
