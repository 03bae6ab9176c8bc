package pooling

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// drawData makes up estimates of some kinds in some places, with errors that
// hang together.
func drawData(t *rapid.T) Data {
	kinds, places := rapid.IntRange(1, 3).Draw(t, "kinds"), rapid.IntRange(3, 6).Draw(t, "places")
	n := kinds * places
	d := Data{Covariance: mat.NewSymDense(n, nil), Groupings: [][]int{make([]int, n), make([]int, n)}}
	common := rapid.Float64Range(0, 0.1).Draw(t, "common")
	for i := range n {
		row := make([]float64, kinds)
		row[i%kinds] = 1
		d.Design = append(d.Design, row)
		d.Groupings[0][i], d.Groupings[1][i] = i/kinds, i
		d.Estimates = append(d.Estimates, rapid.Float64Range(-3, 3).Draw(t, "estimate"))
		for j := range i {
			d.Covariance.SetSym(j, i, common)
		}
		d.Covariance.SetSym(i, i, common+rapid.Float64Range(0.01, 1).Draw(t, "variance"))
	}
	if kinds == 1 {
		d.Groupings = d.Groupings[:1]
	}
	return d
}

// TestBalanced has a closed form: with k estimates of equal error variance v
// and one mean, τ² + v is the sample variance, or τ is 0 where that is less
// than v; each estimate keeps the share τ²/(τ² + v) of its distance from the
// mean.
func TestBalanced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(3, 12).Draw(t, "k")
		v := rapid.Float64Range(0.01, 2).Draw(t, "v")
		d := Data{Covariance: mat.NewSymDense(k, nil), Groupings: [][]int{{}}}
		mean, squares := 0.0, 0.0
		for i := range k {
			d.Estimates = append(d.Estimates, rapid.Float64Range(-3, 3).Draw(t, "y"))
			d.Covariance.SetSym(i, i, v)
			d.Groupings[0] = append(d.Groupings[0], i)
			mean += d.Estimates[i] / float64(k)
		}
		for _, y := range d.Estimates {
			squares += (y - mean) * (y - mean)
		}
		m, err := Fit(d)
		require.NoError(t, err)
		between := math.Max(0, squares/float64(k-1)-v)
		assert.InDelta(t, between, m.SD[0]*m.SD[0], 1e-6*(1+between))
		assert.InDelta(t, mean, m.Coefficients[0], 1e-9)
		p, err := m.Predict([]float64{1}, []int{0})
		require.NoError(t, err)
		assert.InDelta(t, mean+between/(between+v)*(d.Estimates[0]-mean), p.Mean, 1e-6)
	})
}

// TestPredictsLikeNaive holds Predict against a conditional normal distribution
// written out: with b given a normal prior so wide that it says nothing.
func TestPredictsLikeNaive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawData(t)
		sd := []float64{0.4, 0.2}[:len(d.Groupings)]
		m, err := FitGiven(d, sd)
		require.NoError(t, err)
		n := len(d.Estimates)
		target := rapid.IntRange(0, n-1).Draw(t, "target")
		groups := make([]int, len(sd))
		for k := range groups {
			groups[k] = d.Groupings[k][target]
			if rapid.Bool().Draw(t, "new") {
				groups[k] = New
			}
		}
		const vague = 1e4
		x := d.Design[target]
		cov := func(a, b []float64, ga, gb func(k int) int, same bool) float64 {
			sum := 0.0
			for j := range a {
				sum += vague * a[j] * b[j]
			}
			for k, τ := range sd {
				if same || (ga(k) >= 0 && ga(k) == gb(k)) {
					sum += τ * τ
				}
			}
			return sum
		}
		of := func(i int) func(int) int { return func(k int) int { return d.Groupings[k][i] } }
		own := func(k int) int { return groups[k] }
		whole, h := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
		for i := range n {
			h.SetVec(i, cov(x, d.Design[i], own, of(i), false))
			for j := range n {
				whole.Set(i, j, cov(d.Design[i], d.Design[j], of(i), of(j), false)+d.Covariance.At(i, j))
			}
		}
		var w mat.VecDense
		require.NoError(t, w.SolveVec(whole, h))
		p, err := m.Predict(x, groups)
		require.NoError(t, err)
		assert.InDelta(t, mat.Dot(&w, mat.NewVecDense(n, d.Estimates)), p.Mean, 1e-3)
		assert.InDelta(t, cov(x, x, own, own, true)-mat.Dot(&w, h), p.SE*p.SE, 1e-3)
	})
}

// TestFitClimbs: no τ nearby is likelier, and an order or shift changes nothing
// that it shouldn't.
func TestFitClimbs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawData(t)
		m, err := Fit(d)
		require.NoError(t, err)
		for k := range m.SD {
			for _, step := range []float64{-1e-3, 1e-3, 0.05, 0.5} {
				other := append([]float64(nil), m.SD...)
				other[k] = math.Max(0, other[k]+step)
				near, err := FitGiven(d, other)
				require.NoError(t, err)
				assert.LessOrEqual(t, near.LogLik, m.LogLik+1e-7)
			}
		}
		shifted := d
		shifted.Estimates = nil
		for _, y := range d.Estimates {
			shifted.Estimates = append(shifted.Estimates, y+5)
		}
		moved, err := Fit(shifted)
		require.NoError(t, err)
		assert.InDelta(t, m.LogLik, moved.LogLik, 1e-6)
		assert.InDelta(t, m.Coefficients[0]+5, moved.Coefficients[0], 1e-4)
	})
}

func TestNewGroupIsWider(t *testing.T) {
	m, err := Fit(calendarData())
	require.NoError(t, err)
	average, err := m.Average([]float64{1})
	require.NoError(t, err)
	fresh, err := m.Predict([]float64{1}, []int{New, New})
	require.NoError(t, err)
	assert.Equal(t, average.Mean, fresh.Mean)
	assert.InDelta(t, average.SE*average.SE+m.SD[0]*m.SD[0]+m.SD[1]*m.SD[1], fresh.SE*fresh.SE, 1e-12)
}

func TestRefuses(t *testing.T) {
	good := vaccineData(false)
	for name, spoil := range map[string]func(*Data){
		"no estimates":      func(d *Data) { *d = Data{} },
		"no covariance":     func(d *Data) { d.Covariance = nil },
		"not finite":        func(d *Data) { d.Estimates[3] = math.Inf(1) },
		"short design":      func(d *Data) { d.Design = [][]float64{{1}} },
		"ragged design":     func(d *Data) { d.Design = make([][]float64, 13); d.Design[0] = []float64{1} },
		"dependent columns": func(d *Data) { d.Design = dependent(13) },
		"short grouping":    func(d *Data) { d.Groupings = [][]int{{1}} },
		"negative group":    func(d *Data) { d.Groupings[0][0] = -1 },
		"not a covariance":  func(d *Data) { d.Covariance.SetSym(0, 1, 10) },
		"nothing left over": func(d *Data) {
			*d = Data{Estimates: []float64{1}, Covariance: mat.NewSymDense(1, []float64{1}), Groupings: [][]int{{0}}}
		},
	} {
		d := vaccineData(false)
		spoil(&d)
		_, err := Fit(d)
		assert.ErrorIs(t, err, ErrData, name)
	}
	_, err := FitGiven(good, []float64{-1})
	assert.ErrorIs(t, err, ErrData)
	m, err := Fit(good)
	require.NoError(t, err)
	_, err = m.Predict([]float64{1, 2}, []int{0})
	assert.ErrorIs(t, err, ErrData)
	_, err = m.Average(nil)
	assert.ErrorIs(t, err, ErrData)
}

// dependent is a design whose second column is twice the first.
func dependent(n int) [][]float64 {
	var x [][]float64
	for range n {
		x = append(x, []float64{1, 2})
	}
	return x
}
