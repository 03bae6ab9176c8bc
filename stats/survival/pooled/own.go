package pooled

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
)

const maxTime = math.MaxFloat64

// own is what the strong cells show by themselves.
type own struct {
	model  *aft.Model // errors robust to clusters
	means  []float64  // of the covariates
	middle float64    // σ w(½): log median less the linear predictor
	// design is how much larger the variance of a log median is for the lives'
	// clusters, over the cells; at least 1.
	design    float64
	medians   []float64 // logs, of the strong cells in order
	variances *mat.SymDense
}

// fitOwn fits the accelerated failure time model of the strong cells: an effect
// for each, and the covariates about their means.
func fitOwn(d Data, strong []*cell) (*own, error) {
	o := &own{means: d.means()}
	var spans []survival.Span
	var labels []string
	columns := make([][]float64, len(d.Covariates))
	for i, c := range strong {
		for _, l := range c.lives {
			spans = append(spans, l.Span)
			labels = append(labels, fmt.Sprint(i))
			for k, x := range l.Covariates {
				columns[k] = append(columns[k], x-o.means[k])
			}
		}
	}
	terms := []aft.Term{aft.Factor("cell", labels, numbers(len(strong))...)}
	for k, name := range d.Covariates {
		terms = append(terms, aft.Numeric(name, columns[k]))
	}
	design, err := aft.NewDesign(len(spans), terms...)
	if err != nil {
		return nil, err
	}
	choice, err := aft.Choose(aft.Data{Spans: spans, Design: design})
	if err != nil {
		return nil, err
	}
	independent := choice.Models[0]
	if o.model, err = independent.ByCluster(aft.Jackknife); err != nil {
		return nil, err
	}

	gradients := make([]*mat.VecDense, len(strong))
	ratio := 0.0
	for i := range strong {
		x := make([]float64, len(design.Names()))
		x[0] = 1
		if i > 0 {
			x[i] = 1
		}
		q, err := o.model.Quantile(aft.Life{X: x}, 0.5, 0.95)
		if err != nil {
			return nil, err
		}
		naive, err := independent.Quantile(aft.Life{X: x}, 0.5, 0.95)
		if err != nil {
			return nil, err
		}
		ratio += q.SELog * q.SELog / (naive.SELog * naive.SELog) / float64(len(strong))
		o.medians = append(o.medians, q.Log)
		o.middle = q.Log - dot(x, o.model.Coefficients)
		gradients[i] = o.gradient(x)
	}
	o.design = math.Max(1, ratio)
	o.variances = mat.NewSymDense(len(strong), nil)
	for i := range strong {
		for j := i; j < len(strong); j++ {
			o.variances.SetSym(i, j, mat.Inner(gradients[i], o.model.Covariance, gradients[j]))
		}
	}
	return o, nil
}

// gradient is that of a log median by the model's parameters.
func (o *own) gradient(x []float64) *mat.VecDense {
	g := mat.NewVecDense(o.model.Covariance.SymmetricDim(), nil)
	for j, v := range x {
		g.SetVec(j, v)
	}
	if g.Len() > len(x) { // by log σ
		g.SetVec(len(x), o.middle)
	}
	return g
}

// means of the covariates over all lives.
func (d Data) means() []float64 {
	means := make([]float64, len(d.Covariates))
	for _, l := range d.Lives {
		for k, x := range l.Covariates {
			means[k] += x / float64(len(d.Lives))
		}
	}
	return means
}

// numbers are the labels of n cells in order.
func numbers(n int) []string {
	labels := make([]string, n)
	for i := range labels {
		labels[i] = fmt.Sprint(i)
	}
	return labels
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
