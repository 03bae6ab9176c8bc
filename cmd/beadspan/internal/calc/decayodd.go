package calc

import (
	"fmt"

	"beadspan/stats/decay"
)

// leastTrust is the share of its weight below which a reading is called odd.
const leastTrust = 0.5

// oddReading is a reading that a robust loss left little of its weight.
type oddReading struct {
	Row   int    `json:"row"`
	X     Number `json:"x"`
	Value Number `json:"value"`
	Trust Number `json:"trust"`
}

// findOdd lists the readings that a robust loss took for odd.
func (c *DecayCurve) findOdd(points []decay.Point, trust []float64) {
	for i, share := range trust {
		if share < leastTrust {
			c.Odd = append(c.Odd, oddReading{c.lines[i], Number(points[i].Time), Number(points[i].Value), Number(share)})
		}
	}
}

// writeOdd prints the readings with little trust.
func (c *DecayCurve) writeOdd(p *page) {
	if len(c.Odd) == 0 {
		return
	}
	rows := make([][]string, len(c.Odd))
	for i, o := range c.Odd {
		rows[i] = []string{fmt.Sprintf("row %d", o.Row), short(o.X), short(o.Value), short(o.Trust)}
	}
	p.line("Odd readings, of which the curve takes little notice")
	p.table(1, []string{"", "time", "value", "share of its weight"}, rows)
}
