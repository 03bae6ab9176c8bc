package aft

import (
	"errors"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Wald is a test of the hypothesis that several coefficients are all 0.
type Wald struct {
	ChiSq float64 // b'V⁻¹b
	DF    int     // how many coefficients
	// P is from χ² on DF degrees of freedom. For a model ByCluster that uses the
	// t distribution on ν it is Hotelling's, for a covariance that is itself
	// estimated: ChiSq (ν − DF + 1)/(ν DF) from F on DF and ν − DF + 1.
	P float64
}

// Wald tests whether the coefficients of the named columns are all 0, with the
// covariance that the model has: of a model ByCluster the test holds when lives
// of a cluster resemble each other, which CompareNested's doesn't.
//
// No column, an unknown one or one that is named twice is an error, and so is a
// covariance that has no inverse: there must be more clusters than columns.
//
// Source: Kalbfleisch and Prentice, The Statistical Analysis of Failure Time
// Data (2nd ed. 2002), chapter 3; Hotelling, Ann. Math. Stat. 2 (1931) 360–378
// (both from memory).
func (e *Estimate) Wald(columns ...string) (Wald, error) {
	if len(columns) == 0 {
		return Wald{}, errors.New("wald test: no column named")
	}
	at := make([]int, len(columns))
	for i, name := range columns {
		at[i] = slices.Index(e.Names[:len(e.Coefficients)], name)
		if at[i] < 0 || slices.Contains(at[:i], at[i]) {
			return Wald{}, fmt.Errorf("wald test: column %q: expected distinct ones of %v", name, e.Names[:len(e.Coefficients)])
		}
	}
	b := mat.NewVecDense(len(at), nil)
	v := mat.NewSymDense(len(at), nil)
	for i, j := range at {
		b.SetVec(i, e.Coefficients[j])
		for k := range i + 1 {
			v.SetSym(i, k, e.Covariance.At(j, at[k]))
		}
	}
	var f mat.Cholesky
	solution := mat.NewVecDense(len(at), nil)
	if e.DF > 0 && e.DF < len(at) || !f.Factorize(v) || f.SolveVecTo(solution, b) != nil {
		return Wald{}, fmt.Errorf("wald test of %d columns: too few clusters to tell them apart", len(at))
	}
	w := Wald{ChiSq: mat.Dot(b, solution), DF: len(at)}
	if e.DF == 0 {
		w.P = distuv.ChiSquared{K: float64(w.DF)}.Survival(w.ChiSq)
		return w, nil
	}
	rest := float64(e.DF - w.DF + 1)
	ratio := w.ChiSq * rest / float64(e.DF*w.DF)
	w.P = distuv.F{D1: float64(w.DF), D2: rest}.Survival(ratio)
	return w, nil
}
