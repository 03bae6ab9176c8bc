package cox

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// design is the data arranged for going through time backwards: by stratum,
// then from the last time to the first, so that risk sets mostly grow.
//
// Covariates are centred within each stratum and scaled to unit spread: the
// partial likelihood does not see the one, and the other makes every tolerance
// free of units.
type design struct {
	q       int       // columns in use
	columns []int     // which covariate each column is
	scale   []float64 // of each column
	z       []float64 // rows × q

	weight  []float64
	row     []int     // its number in the caller's data
	start   []float64 // of each row; nil where the data have none
	moments []moment
	strata  []stratum

	// Row i is at risk at moments[entered[i]:leaves[i]].
	entered, leaves []int32
	// leaving holds the rows that leave before the end of their stratum, in
	// order of leaves; nil where none does.
	leaving []int32
}

// moment is a time at which rows of a stratum stop.
type moment struct {
	time     float64
	stratum  int     // among the design's strata
	from, to int     // its rows, those that ended first
	deaths   int     // how many ended
	weight   float64 // of those
	gone     int     // leaving[gone:], up to the next moment's, are no longer at risk
}

// stratum is a run of moments, from the last to the first, and of rows.
type stratum struct {
	label              int
	from, to           int // moments
	firstRow, afterRow int
	centre             []float64 // of each column, in the caller's unit
}

// newDesign arranges valid data; ErrNoRows where nothing is left of it.
func newDesign(d Data) (*design, error) {
	rows := backwards(&d)
	d, err := mergeTies(d, rows)
	if err != nil {
		return nil, err
	}
	s := &design{q: d.Covariates, columns: make([]int, d.Covariates)}
	for j := range s.columns {
		s.columns[j] = j
	}
	s.setRows(&d, rows)
	if len(s.row) == 0 {
		return nil, ErrNoRows
	}
	s.findMoments(&d)
	s.findLeaves(&d)
	s.standardise(&d)
	return s, nil
}

// backwards lists the rows that tell something, from the last stop to the first.
func backwards(d *Data) []int {
	type place struct {
		time float64
		row  int
	}
	places := make([]place, 0, len(d.Stop))
	for i, t := range d.Stop {
		if d.tells(i) {
			places = append(places, place{t, i})
		}
	}
	slices.SortFunc(places, func(a, b place) int {
		switch {
		case a.time > b.time:
			return -1
		case a.time < b.time:
			return 1
		}
		return a.row - b.row
	})
	rows := make([]int, len(places))
	for k, p := range places {
		rows[k] = p.row
	}
	return rows
}

// setRows fills row and weight: rows that are sorted by time come by stratum
// too, and at one time those that ended first. A row that merging ties has left
// without any time is dropped.
func (s *design) setRows(d *Data, rows []int) {
	s.row = make([]int, 0, len(rows))
	for from := 0; from < len(rows); {
		to := from
		for to < len(rows) && d.Stop[rows[to]] == d.Stop[rows[from]] {
			to++
		}
		for _, ended := range []bool{true, false} {
			for _, i := range rows[from:to] {
				if d.Event[i] == ended && d.tells(i) {
					s.row = append(s.row, i)
				}
			}
		}
		from = to
	}
	if d.Stratum != nil {
		slices.SortStableFunc(s.row, func(a, b int) int { return cmp.Compare(d.Stratum[a], d.Stratum[b]) })
	}
	s.weight = make([]float64, len(s.row))
	for k, i := range s.row {
		s.weight[k] = d.weight(i)
	}
}

// findMoments cuts the sorted rows into strata and moments.
func (s *design) findMoments(d *Data) {
	s.entered = make([]int32, len(s.row))
	s.moments = make([]moment, 0, s.countMoments(d))
	for k, i := range s.row {
		if k == 0 || d.stratum(i) != d.stratum(s.row[k-1]) {
			s.strata = append(s.strata, stratum{label: d.stratum(i), from: len(s.moments), firstRow: k})
		}
		here := &s.strata[len(s.strata)-1]
		if here.from == len(s.moments) || s.moments[len(s.moments)-1].time != d.Stop[i] {
			s.moments = append(s.moments, moment{time: d.Stop[i], stratum: len(s.strata) - 1, from: k})
		}
		m := &s.moments[len(s.moments)-1]
		m.to = k + 1
		if d.Event[i] {
			m.deaths++
			m.weight += s.weight[k]
		}
		s.entered[k] = int32(len(s.moments) - 1)
		here.to, here.afterRow = len(s.moments), k+1
	}
}

// countMoments counts the moments of the sorted rows.
func (s *design) countMoments(d *Data) int {
	count := 1
	for k := range len(s.row) - 1 {
		i, next := s.row[k], s.row[k+1]
		if d.Stop[i] != d.Stop[next] || d.stratum(i) != d.stratum(next) {
			count++
		}
	}
	return count
}

// findLeaves notes where, going back in time, each row is no longer at risk.
func (s *design) findLeaves(d *Data) {
	s.leaves = make([]int32, len(s.row))
	counts := make([]int, len(s.moments)+1)
	leaving := 0
	if d.Start != nil {
		s.start = make([]float64, len(s.row))
	}
	for _, g := range s.strata {
		moments := s.moments[g.from:g.to]
		for k := g.firstRow; k < g.afterRow; k++ {
			at := len(moments)
			start := d.start(s.row[k])
			if s.start != nil {
				s.start[k] = start
			}
			if start >= moments[len(moments)-1].time {
				at = sort.Search(len(moments), func(m int) bool { return moments[m].time <= start })
			}
			s.leaves[k] = int32(g.from + at)
			if at < len(moments) {
				counts[g.from+at]++
				leaving++
			}
		}
	}
	if leaving == 0 {
		return
	}
	s.leaving = make([]int32, leaving)
	before := 0
	for m := range s.moments {
		s.moments[m].gone = before
		before, counts[m] = before+counts[m], before
	}
	for _, g := range s.strata {
		for k := g.firstRow; k < g.afterRow; k++ {
			if m := s.leaves[k]; int(m) < g.to {
				s.leaving[counts[m]] = int32(k)
				counts[m]++
			}
		}
	}
}

// standardise fills z, the centres and the scale.
func (s *design) standardise(d *Data) {
	q := s.q
	s.z = make([]float64, len(s.row)*q)
	s.scale = make([]float64, q)
	total := 0.0
	for g := range s.strata {
		here := &s.strata[g]
		here.centre = make([]float64, q)
		sum := 0.0
		for k := here.firstRow; k < here.afterRow; k++ {
			z := s.zOf(k)
			copy(z, d.X[s.row[k]*q:])
			sum += s.weight[k]
			share := s.weight[k] / sum
			for j, x := range z {
				here.centre[j] += (x - here.centre[j]) * share // no sum to overflow
			}
		}
		for k := here.firstRow; k < here.afterRow; k++ {
			z := s.zOf(k)
			for j := range z {
				z[j] -= here.centre[j]
				s.scale[j] = max(s.scale[j], math.Abs(z[j]))
			}
		}
		total += sum
	}
	s.rescale(total)
}

// rescale divides each column by its spread, worked out from shares of the
// largest deviation so that no square overflows.
func (s *design) rescale(total float64) {
	q := s.q
	squares := make([]float64, q)
	for k, w := range s.weight {
		for j, z := range s.zOf(k) {
			if s.scale[j] > 0 {
				share := z / s.scale[j]
				squares[j] += w / total * share * share
			}
		}
	}
	for j := range s.scale {
		if s.scale[j] *= math.Sqrt(squares[j]); s.scale[j] == 0 {
			s.scale[j] = 1 // constant in each stratum: the column is 0
		}
	}
	for k := range s.row {
		z := s.zOf(k)
		for j := range z {
			z[j] /= s.scale[j]
		}
	}
}

// keep drops all columns but those.
func (s *design) keep(columns []int) {
	if len(columns) == s.q {
		return
	}
	q := len(columns)
	for k := range s.row {
		for a, j := range columns { // never ahead of what is still to be read
			s.z[k*q+a] = s.z[k*s.q+j]
		}
	}
	s.z = s.z[:len(s.row)*q]
	pick := func(from []float64) []float64 {
		kept := make([]float64, q)
		for a, j := range columns {
			kept[a] = from[j]
		}
		return kept
	}
	s.scale = pick(s.scale)
	for g := range s.strata {
		s.strata[g].centre = pick(s.strata[g].centre)
	}
	original := s.columns
	s.columns = make([]int, q)
	for a, j := range columns {
		s.columns[a] = original[j]
	}
	s.q = q
}
