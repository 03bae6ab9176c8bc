package pooled

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/pooling"
	"beadspan/stats/survival/aft"
)

// Result is a table of lives, pooled.
type Result struct {
	Level float64
	// Law is the distribution of lives within a cell, the one with the least
	// AIC, and Sigma the scale of its logarithm: see package aft.
	Law   aft.Distribution
	Sigma float64
	// Covariates are by what factor a life is longer for one unit more of each.
	Covariates []Factor
	Cells      []Cell // by kind and place
	// Kinds are the medians of each kind in a middling place; none where nothing
	// is pooled.
	Kinds []Cell
	// PlaceSD is how much log lives differ between places for all kinds alike,
	// and CellSD how much more for one kind than for another: standard
	// deviations, 0 where no difference beyond chance is seen. Both are nil where
	// nothing is pooled, CellSD also where no place has two kinds.
	PlaceSD, CellSD *float64
	// Places are those whose cells' own medians the pooling rests on.
	Places []string
	// Unpooled says why nothing is pooled; empty where it is.
	Unpooled string
	// Unsettled means that what the thin cells say had not settled.
	Unsettled bool

	table   *table
	model   *pooling.Model
	average *pooling.Averaged
}

// Cell is one cell of the table.
type Cell struct {
	Kind, Place          string
	Lives, Clusters      int
	Ended, EndedClusters int // lives, and clusters with one
	Watched              float64
	// Own is what the cell shows by itself; nil where too few lives ended.
	Own *Median
	// Pooled is what the other cells make of it; nil where nothing is pooled.
	Pooled *Median
}

// Median is the time by which half of the lives have ended.
type Median struct {
	Time, Lower, Upper float64
	// Limits are symmetric on the scale of the logarithm, and those of a t
	// distribution with DF degrees of freedom.
	Log, SELog, DF float64
}

// Factor is by what a life is multiplied.
type Factor struct {
	Name                string
	Value, Lower, Upper float64
	Log, SELog, DF      float64
	P                   float64 // of the test that it is 1, two-sided
}

func newMedian(log, se, df, level float64) *Median {
	z := students(df).Quantile(1 - (1-level)/2)
	return &Median{math.Exp(log), math.Exp(log - z*se), math.Exp(log + z*se), log, se, df}
}

func newFactor(name string, log, se, df, level float64) Factor {
	m := newMedian(log, se, df, level)
	p := 2 * students(df).CDF(-math.Abs(log/se))
	return Factor{name, m.Time, m.Lower, m.Upper, log, se, df, p}
}

// For returns the factor for so many units, a number above 0.
func (f Factor) For(units float64) Factor {
	f.Log, f.SELog = f.Log*units, f.SELog*units
	f.Value, f.Lower, f.Upper = math.Exp(f.Log), math.Pow(f.Lower, units), math.Pow(f.Upper, units)
	return f
}

// bell is a symmetric distribution about 0.
type bell interface {
	Quantile(p float64) float64
	CDF(x float64) float64
}

// students is the t distribution; with infinite degrees of freedom the normal.
func students(df float64) bell {
	if math.IsInf(df, 1) {
		return distuv.UnitNormal
	}
	return distuv.StudentsT{Sigma: 1, Nu: df}
}
