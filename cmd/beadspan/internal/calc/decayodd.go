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

// findOdd lists the readings that a robust loss took for odd, whose rows of the
// file are lines.
func findOdd(points []decay.Point, lines []int, trust []float64) []oddReading {
	odd := []oddReading{}
	for i, share := range trust {
		if share < leastTrust {
			odd = append(odd, oddReading{lines[i], Number(points[i].Time), Number(points[i].Value), Number(share)})
		}
	}
	return odd
}

// writeOdd prints the readings with little trust.
func (p *page) writeOdd(odd []oddReading) {
	if len(odd) == 0 {
		return
	}
	rows := make([][]string, len(odd))
	for i, o := range odd {
		rows[i] = []string{fmt.Sprintf("row %d", o.Row), short(o.X), short(o.Value), short(o.Trust)}
	}
	p.line("Odd readings, of which the curve takes little notice")
	p.table(1, []string{"", "time", "value", "share of its weight"}, rows)
}
