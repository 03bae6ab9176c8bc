package aft_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"beadspan/stats/internal/check"
	"beadspan/stats/survival"
	. "beadspan/stats/survival/aft"
)

// TestMixedReference fits the random-intercept cases of
// testdata/reference/mixed-effects that were fitted by maximum likelihood: a
// linear mixed model of y without censoring is a log-normal model of the life
// e^y. The y's log-likelihood lacks the −∑y of e^y's density.
func TestMixedReference(t *testing.T) {
	found := 0
	for _, c := range check.Cases(t, "mixed-effects") {
		for _, ch := range c.Checks {
			if ch.Method != "lme" {
				continue
			}
			in := check.Decode[struct {
				Response  string
				Fixed     []string
				Group     string
				Random    []string
				Criterion string
			}](t, ch.Inputs)
			if in.Criterion != "ML" || len(in.Random) != 1 || in.Random[0] != "1" {
				continue
			}
			found++
			t.Run(c.ID+"/"+ch.ID, func(t *testing.T) {
				want := check.Decode[struct {
					Fixed    []check.Number
					SE       []check.Number `json:"se_fixed"`
					RandomSD []float64      `json:"random_sd"`
					Residual float64        `json:"residual_sd"`
					LogLik   float64
					BLUPs    []struct {
						Group  string
						Effect []float64 `json:"random_effect"`
					} `json:"blups"`
				}](t, ch.Expected)

				var data Data
				jacobian := 0.0
				for _, y := range c.Data.Floats(t, in.Response, 0) {
					data.Spans = append(data.Spans, survival.Exact(math.Exp(y)))
					jacobian += y
				}
				var terms []Term
				for _, name := range in.Fixed {
					terms = append(terms, Numeric(name, c.Data.Floats(t, name, 0)))
				}
				var err error
				data.Design, err = NewDesign(c.Data.Len(), terms...)
				require.NoError(t, err)
				var group []int
				for _, label := range c.Data.Text(t, in.Group) {
					number, err := strconv.Atoi(label)
					require.NoError(t, err)
					group = append(group, number)
				}
				m, err := FitMixed(data, LogNormal, group)
				require.NoError(t, err)

				tol := check.Tolerance{Rel: 1e-5, Abs: 1e-9}
				check.Values(t, "coefficients", m.Coefficients, want.Fixed, tol)
				check.Value(t, "ω", m.Omega.SD, want.RandomSD[0], tol)
				check.Value(t, "σ", math.Exp(m.LogScale[0]), want.Residual, tol)
				check.Value(t, "log-likelihood", m.LogLik+jacobian, want.LogLik, check.Tolerance{Abs: 1e-5})
				for j, se := range knownVariances(t, m) {
					check.Value(t, "SE", se, float64(want.SE[j]), tol)
				}
				for _, b := range want.BLUPs {
					number, _ := strconv.Atoi(b.Group)
					at := -1
					for i, e := range m.Effects {
						if e.Group == number {
							at = i
						}
					}
					require.GreaterOrEqual(t, at, 0)
					check.Value(t, "effect "+b.Group, m.Effects[at].Mean, b.Effect[0], check.Tolerance{Rel: 1e-4, Abs: 1e-6})
				}
			})
		}
	}
	assert.Equal(t, 2, found)
}

// knownVariances returns standard errors of b if ω and σ were known: what
// linear mixed models report. Those of Parameters are a little wider.
func knownVariances(t *testing.T, m *Mixed) []float64 {
	p := len(m.Coefficients)
	var c mat.Dense
	require.NoError(t, c.Inverse(m.Information().Slice(0, p, 0, p)))
	se := make([]float64, p)
	for j := range se {
		se[j] = math.Sqrt(c.At(j, j))
	}
	return se
}
