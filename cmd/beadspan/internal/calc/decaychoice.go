package calc

import (
	"beadspan/stats/decay"
)

// shapeChoice is a shape that the readings were held against.
type shapeChoice struct {
	Model  decay.Shape `json:"model"`
	Falls  bool        `json:"falls"`
	AICc   Number      `json:"aicc"`
	Delta  Number      `json:"delta"`
	Weight Number      `json:"weight"`
}

// averagedCrossing is when the curves of all shapes come down to a threshold.
type averagedCrossing struct {
	crossing
	Crosses    Number `json:"weight_crosses"`
	NotReached Number `json:"weight_not_reached"`
	FromStart  Number `json:"weight_below_from_start"`
}

// choose weighs the shapes by AICc and returns the best curve.
func (c *DecayCurve) choose(points []decay.Point, common decay.Options, o DecayOptions) (*decay.Curve, error) {
	var candidates []decay.Options
	for _, shape := range decay.Shapes() {
		common.Shape = shape
		candidates = append(candidates, common)
	}
	found, err := decay.Compare(points, candidates...)
	if err != nil {
		return nil, err
	}
	c.Notes = append(c.Notes, found.Notes...)
	for _, fit := range found.Fits {
		c.Choice = append(c.Choice, shapeChoice{fit.Curve.Shape, fit.Curve.Falls, Number(fit.Curve.Solution.AICc), Number(fit.Delta), Number(fit.Weight)})
	}
	for _, threshold := range o.Thresholds {
		x, err := found.TimeTo(threshold, o.Level)
		if err != nil {
			return nil, err
		}
		c.Notes = append(c.Notes, x.Notes...)
		c.Averaged = append(c.Averaged, averagedCrossing{newCrossing(x.Crossing), Number(x.Crosses), Number(x.NotReached), Number(x.BelowFromStart)})
	}
	return found.Best(), nil
}

// writeChoice prints the shapes by weight, and what they say together.
func (c *DecayCurve) writeChoice(p *page) {
	if len(c.Choice) == 0 {
		return
	}
	var rows [][]string
	for _, choice := range c.Choice {
		name := string(choice.Model)
		if !choice.Falls {
			name = "no fall"
		}
		rows = append(rows, []string{name, short(choice.AICc), short(choice.Delta), probability(choice.Weight)})
	}
	p.table(1, []string{"Curve", "AICc", "above the best", "weight"}, rows)
	rows = nil
	for _, x := range c.Averaged {
		rows = append(rows, append(x.row(), probability(x.Crosses)))
	}
	if len(rows) > 0 {
		p.table(1, []string{"All of them", "estimate", "SE", "lower", "upper", "weight that crosses"}, rows)
	}
}
