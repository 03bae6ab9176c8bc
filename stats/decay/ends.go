package decay

import "math"

// ends finds the two ends of a fall when its course is known. The course is
// the share of the fall that is still to come at each point, 1 before it and 0
// after it; the curve is a straight line in that, so that the best floor and
// start follow in closed form.
type ends struct {
	points      []Point
	floor       *float64 // if given
	weight      float64  // ∑ w
	mean, total float64  // weighted mean and ∑ w (y − mean)²: the best constant
}

func newEnds(points []Point, floor *float64) *ends {
	e := &ends{points: points, floor: floor}
	for _, p := range points {
		e.weight += p.Weight
		e.mean += p.Weight * p.Value
	}
	e.mean /= e.weight
	for _, p := range points {
		d := p.Value - e.mean
		e.total += p.Weight * d * d
	}
	return e
}

// candidate is the best curve of one course.
type candidate struct {
	floor, start, rss float64
	pace              pace
}

// best returns the best curve within 0 ≤ floor ≤ start ≤ 180 for the pace
// whose course is given.
func (e *ends) best(course []float64, pace pace) candidate {
	var sc, scc, scy float64 // ∑ w c, ∑ w c², ∑ w c (y − mean)
	for i, c := range course {
		p := &e.points[i]
		wc := p.Weight * c
		sc += wc
		scc += wc * c
		scy += wc * (p.Value - e.mean)
	}
	curve := func(floor, start float64) candidate {
		floor = min(max(floor, 0), maxAngle)
		start = min(max(start, floor), maxAngle)
		// With a = floor − mean and b = start − floor, RSS = ∑ w (y − mean − a − b c)².
		a, b := floor-e.mean, start-floor
		rss := e.total + a*a*e.weight + b*b*scc - 2*b*scy + 2*a*b*sc
		return candidate{floor, start, max(0, rss), pace}
	}
	// startFrom is the best start for a given floor; if all was over before
	// the first point, any will do.
	startFrom := func(floor float64) float64 {
		if scc == 0 {
			return floor
		}
		return floor + (scy+(e.mean-floor)*sc)/scc
	}

	if e.floor != nil {
		return curve(*e.floor, startFrom(*e.floor))
	}
	spread := scc - sc*sc/e.weight // ∑ w (c − mean c)²
	if spread <= 1e-12*scc || scy <= 0 {
		return curve(e.mean, e.mean)
	}
	slope := scy / spread
	floor := e.mean - slope*sc/e.weight
	if floor >= 0 && floor+slope <= maxAngle {
		return curve(floor, floor+slope)
	}
	// The sum is convex, so its lowest point within the bounds is on one of
	// those that the free minimum is beyond.
	rest := e.weight - 2*sc + scc // ∑ w (1 − c)²
	floorFrom := maxAngle + (e.weight*(e.mean-maxAngle)-(e.mean-maxAngle)*sc-scy)/rest
	atZero, atTop := curve(0, startFrom(0)), curve(floorFrom, maxAngle)
	if rest <= 0 || math.IsNaN(floorFrom) || atZero.rss < atTop.rss {
		return atZero
	}
	return atTop
}
