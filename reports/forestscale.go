package reports

import (
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// forestScale is the axis of a forest of estimates.
type forestScale struct {
	low, high float64
	asRatio   bool
}

// scale takes in all limits, no difference, and a little more; of ratios as far
// as people tell them apart.
func (p forestPicture) scale() forestScale {
	s := forestScale{p.none(), p.none(), p.asRatio}
	for _, line := range p.lines {
		if !math.IsNaN(line.value) {
			s.low, s.high = math.Min(s.low, line.limits.Low), math.Max(s.high, line.limits.High)
		}
	}
	if p.asRatio {
		s.low, s.high = math.Max(s.low, 1/mostForestRatio), math.Min(s.high, mostForestRatio)
		room := math.Max(0.04*math.Log(s.high/s.low), 0.02)
		return forestScale{s.low * math.Exp(-room), s.high * math.Exp(room), true}
	}
	room := math.Max(0.04*(s.high-s.low), 0.1)
	return forestScale{s.low - room, s.high + room, false}
}

// x is the place of a value; what lies beyond the axis is put at its end.
func (s forestScale) x(c draw.Canvas, value float64) vg.Length {
	value = math.Min(math.Max(value, s.low), s.high)
	share := (value - s.low) / (s.high - s.low)
	if s.asRatio {
		share = math.Log(value/s.low) / math.Log(s.high/s.low)
	}
	return c.Min.X + c.Size().X*vg.Length(share)
}

// tickRoom is how far apart numbers stand at the least.
const tickRoom vg.Length = 38

// ratioTicks are marks for ratios, the closest first.
var ratioTicks = [][]float64{
	{0.5, 0.6, 0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2},
	{0.25, 0.4, 0.5, 0.6, 0.8, 1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3},
	{0.25, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3},
	{0.1, 0.2, 0.5, 1, 1.5, 2, 3, 5, 8},
	{0.1, 0.2, 0.5, 1, 2, 5},
	{0.125, 1, 8},
}

// ticks are the closest marks that have room.
func (s forestScale) ticks(width vg.Length) []float64 {
	most := int(width / tickRoom)
	if !s.asRatio {
		return s.evenTicks(most)
	}
	for _, marks := range ratioTicks {
		shown := s.within(marks)
		room := true
		for i := 1; i < len(shown); i++ {
			apart := vg.Length(math.Log(shown[i]/shown[i-1])/math.Log(s.high/s.low)) * width
			room = room && apart >= tickRoom
		}
		// Marks that end long before the axis does say too little of it.
		if last := marks[len(marks)-1]; room && (s.high < last*1.3 || last >= 5) {
			return shown
		}
	}
	return []float64{1}
}

func (s forestScale) within(marks []float64) []float64 {
	var shown []float64
	for _, m := range marks {
		if s.low <= m && m <= s.high {
			shown = append(shown, m)
		}
	}
	return shown
}

// evenTicks are marks of differences: whole ones, or simple parts.
func (s forestScale) evenTicks(most int) []float64 {
	step := 1000.0
	for _, wanted := range []float64{0.1, 0.2, 0.5, 1, 2, 3, 6, 12, 24, 60, 120} {
		if (s.high-s.low)/wanted <= float64(most) {
			step = wanted
			break
		}
	}
	var ticks []float64
	for i := math.Ceil(s.low / step); i*step <= s.high; i++ {
		ticks = append(ticks, math.Round(i*step*10)/10+0) // no −0
	}
	return ticks
}

// minus writes a negative number with a minus sign, not a hyphen.
func minus(number string) string { return strings.Replace(number, "-", "−", 1) }
