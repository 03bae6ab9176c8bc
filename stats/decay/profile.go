package decay

import "math"

// profile is the sum of squares of the exponential decay as a function of τ
// alone. For a given τ the curve is a straight line in e = e^(−t/τ), so the
// best floor and start follow in closed form.
type profile struct {
	points      []Point
	floor       *float64 // if given
	weight      float64  // ∑ w
	mean, total float64  // weighted mean and ∑ w (y − mean)²: the best constant
}

func newProfile(points []Point, floor *float64) *profile {
	p := &profile{points: points, floor: floor}
	for _, point := range points {
		p.weight += point.Weight
		p.mean += point.Weight * point.Value
	}
	p.mean /= p.weight
	for _, point := range points {
		d := point.Value - p.mean
		p.total += point.Weight * d * d
	}
	return p
}

// candidate is the best curve for one τ.
type candidate struct {
	floor, start, tau, rss float64
}

// best returns the best curve within 0 ≤ floor ≤ start ≤ 180 for τ.
func (p *profile) best(τ float64) candidate {
	var se, see, sey float64 // ∑ w e, ∑ w e², ∑ w e (y − mean)
	for _, point := range p.points {
		e := math.Exp(-point.Time / τ)
		se += point.Weight * e
		see += point.Weight * e * e
		sey += point.Weight * e * (point.Value - p.mean)
	}
	curve := func(floor, start float64) candidate {
		floor = min(max(floor, 0), maxAngle)
		start = min(max(start, floor), maxAngle)
		// With a = floor − mean and b = start − floor, RSS = ∑ w (y − mean − a − b e)².
		a, b := floor-p.mean, start-floor
		rss := p.total + a*a*p.weight + b*b*see - 2*b*sey + 2*a*b*se
		return candidate{floor, start, τ, max(0, rss)}
	}
	// startFrom is the best start for a given floor; if all was over before
	// the first point, any will do.
	startFrom := func(floor float64) float64 {
		if see == 0 {
			return floor
		}
		return floor + (sey+(p.mean-floor)*se)/see
	}

	if p.floor != nil {
		return curve(*p.floor, startFrom(*p.floor))
	}
	spread := see - se*se/p.weight // ∑ w (e − mean e)²
	if spread <= 1e-12*see || sey <= 0 {
		return curve(p.mean, p.mean)
	}
	slope := sey / spread
	floor := p.mean - slope*se/p.weight
	if floor >= 0 && floor+slope <= maxAngle {
		return curve(floor, floor+slope)
	}
	// The sum is convex, so its lowest point within the bounds is on one of
	// those that the free minimum is beyond.
	rest := p.weight - 2*se + see // ∑ w (1 − e)²
	floorFrom := maxAngle + (p.weight*(p.mean-maxAngle)-(p.mean-maxAngle)*se-sey)/rest
	atZero, atTop := curve(0, startFrom(0)), curve(floorFrom, maxAngle)
	if atZero.rss < atTop.rss {
		return atZero
	}
	return atTop
}

// scan returns the best curves over a grid of τ from low to high, eight to a
// decade: neighbours differ by a third in τ, less than the sum of squares can
// hide a valley in.
func (p *profile) scan(low, high float64) []candidate {
	steps := int(math.Ceil(8 * math.Log10(high/low)))
	grid := make([]candidate, steps+1)
	for i := range grid {
		share := float64(i) / float64(steps)
		grid[i] = p.best(low * math.Exp(share*math.Log(high/low)))
	}
	return grid
}

// refine returns the best curve there is around a grid, with each valley of
// the sum narrowed down: two may be almost equally deep.
func (p *profile) refine(grid []candidate) candidate {
	best := grid[0]
	for i, here := range grid {
		left, right := grid[max(i-1, 0)], grid[min(i+1, len(grid)-1)]
		if here.rss > left.rss || here.rss > right.rss {
			continue
		}
		if lowest := p.narrow(left, here, right); lowest.rss < best.rss {
			best = lowest
		}
	}
	return best
}

// narrow returns the bottom of the valley between left and right by golden
// section on log τ, to a thousandth of τ. Within the bounds, which the search
// that follows knows only one by one, this leaves it no way to go astray.
func (p *profile) narrow(left, best, right candidate) candidate {
	const golden = 0.6180339887498949
	low, high := math.Log(left.tau), math.Log(right.tau)
	for high-low > 1e-3 {
		a := p.best(math.Exp(high - golden*(high-low)))
		b := p.best(math.Exp(low + golden*(high-low)))
		if a.rss <= b.rss {
			high = math.Log(b.tau)
		} else {
			low = math.Log(a.tau)
			a = b
		}
		if a.rss < best.rss {
			best = a
		}
	}
	return best
}
