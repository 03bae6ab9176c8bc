package cox

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// predictor is what all times of one prediction share.
type predictor struct {
	*Model
	hazards  *hazards
	stratum  *stratum
	v        *mat.SymDense // of the coefficients, in units of the design
	x        []float64     // in units of the design
	risk     float64       // exp(xᵀβ), reckoned as the risks of rows are
	member   []int         // cluster of each row; nil without clusters
	clusters int
	changes  []float64 // DFBeta of each row; nil without clusters
}

// newPredictor checks what is asked. No coefficient runs off in what it
// returns, so that all columns of the design are free.
func (m *Model) newPredictor(a Asked) (*predictor, error) {
	if m.Ties == Exact {
		return nil, ErrNotExact
	}
	if len(a.X) != m.data.Covariates {
		return nil, fmt.Errorf("%w: it has %d covariates, not %d", ErrNoPrediction, m.data.Covariates, len(a.X))
	}
	for j, c := range m.Coefficients {
		if x := a.X[j]; !finite(x) {
			return nil, fmt.Errorf("%w: covariate %s must be a finite number, got %v", ErrNoPrediction, m.data.name(j), x)
		}
		if c.State == RunsOff {
			return nil, fmt.Errorf("%w: the coefficient of %s runs off", ErrNoPrediction, m.data.name(j))
		}
	}
	p := &predictor{Model: m}
	for g := range m.design.strata {
		if m.design.strata[g].label == a.Stratum {
			p.stratum = &m.design.strata[g]
		}
	}
	if p.stratum == nil {
		return nil, fmt.Errorf("%w: no row was in stratum %d", ErrNoPrediction, a.Stratum)
	}
	return p, p.prepare(a.X)
}

func (p *predictor) prepare(x []float64) (err error) {
	s, beta := p.design, p.climb.end.beta
	if p.v, err = p.inverse(); err != nil {
		return err
	}
	p.hazards = s.hazards(beta, p.Ties)
	if p.data.Cluster != nil {
		p.member, p.clusters = p.Model.clusters()
		p.changes = p.Model.changes(p.v)
	}
	// Risks of rows are relative to the largest of their stratum, which one row
	// gives back.
	k := p.stratum.firstRow
	relative, _ := s.risks(beta)
	log := relative[k]
	p.x = make([]float64, s.q)
	for a, j := range s.columns {
		p.x[a] = (x[j] - p.stratum.centre[a]) / s.scale[a]
		log += beta[a] * (p.x[a] - s.z[k*s.q+a])
	}
	p.risk = math.Exp(log)
	return nil
}

// ends lists the times at which lives of the stratum ended.
func (p *predictor) ends() []float64 {
	times := []float64{}
	for m := p.stratum.to - 1; m >= p.stratum.from; m-- {
		if p.design.moments[m].deaths > 0 {
			times = append(times, p.design.moments[m].time)
		}
	}
	return times
}

func (p *predictor) at(t float64, a Asked) (Predicted, error) {
	of := Predicted{Time: t}
	moments := p.design.moments[p.stratum.from:p.stratum.to]
	if !(t <= moments[0].time) {
		nan := math.NaN()
		return Predicted{t, nan, nan, nan, nan, nan, nan}, nil
	}
	from := p.stratum.from + sort.Search(len(moments), func(m int) bool { return moments[m].time <= t })
	if from < p.stratum.to {
		of.Hazard = p.risk * p.hazards.rateSum[from]
		of.HazardSE = p.risk * math.Sqrt(p.variance(from))
	}
	of.Survival = math.Exp(-of.Hazard)
	of.SurvivalSE = of.Survival * of.HazardSE
	var err error
	of.Lower, of.Upper, err = a.Scale.Limits(of.Survival, of.HazardSE, a.Level)
	return of, err
}

// variance is that of the cumulative hazard up to a moment's time, for a risk
// of 1.
func (p *predictor) variance(from int) float64 {
	h, q := p.hazards, p.design.q
	toBeta := make([]float64, q) // minus the derivative by β
	for j := range toBeta {
		toBeta[j] = h.meanSum[from*q+j] - p.x[j]*h.rateSum[from]
	}
	if p.member != nil {
		return p.clustered(from, toBeta)
	}
	if q == 0 {
		return h.spreadSum[from]
	}
	a := mat.NewVecDense(q, toBeta)
	return h.spreadSum[from] + mat.Inner(a, p.v, a)
}

// clustered is the sum of squares of what the clusters add to the cumulative
// hazard, themselves and by way of β.
func (p *predictor) clustered(from int, toBeta []float64) float64 {
	s, h := p.design, p.hazards
	influence := make([]float64, len(s.row))
	for k := range s.row {
		for j, a := range toBeta {
			influence[k] -= a * p.changes[k*s.q+j]
		}
		if k < p.stratum.firstRow || k >= p.stratum.afterRow {
			continue
		}
		_, spread := h.until(s, k, from, nil)
		influence[k] -= h.risk[k] * spread
		if m := int(s.entered[k]); s.ended(k) && m >= from {
			influence[k] += s.weight[k] * h.rate[m] / s.moments[m].weight
		}
	}
	sum := 0.0
	for _, d := range summed(influence, p.member, p.clusters, 1) {
		sum += d * d
	}
	return sum
}
