package calc

import (
	"fmt"
	"math"
	"strings"

	"beadspan/stats/survival"
)

// CompareOptions say how groups are compared.
type CompareOptions struct {
	RankWeight string    // of the log-rank test, as ParseRankWeight reads it
	Scores     string    // of the other tests, one of ScoreNames
	Trend      []float64 // a score for each group, in order; nil: no test for trend
	Pairs      bool      // also compare each two groups

	Replicates int // random relabellings of the test by clusters
	Seed       uint64
}

// LogRankResult compares groups of lives whose ends are known to the point.
type LogRankResult struct {
	Source
	RankWeight string    `json:"rank_weight"`
	Strata     int       `json:"strata"`
	Groups     []string  `json:"groups"`
	Observed   Numbers   `json:"observed"`
	Expected   Numbers   `json:"expected"`
	Sums       Numbers   `json:"weighted_o_minus_e"`
	Variance   []Numbers `json:"variance"`
	comparison

	groupColumns string
}

// chiSquare is a test by its statistic.
type chiSquare struct {
	ChiSq Number `json:"chisq"`
	DF    int    `json:"df"`
	P     Number `json:"p_value"`
}

// noTest is a test that the data do not allow.
func noTest() chiSquare { return chiSquare{Number(math.NaN()), 0, Number(math.NaN())} }

// ParseRankWeight finds a weight of the log-rank test by its name.
func ParseRankWeight(name string) (survival.RankWeight, error) {
	switch name {
	case "logrank":
		return func(survival.RankPoint) float64 { return 1 }, nil
	case "gehan":
		return survival.Gehan, nil
	case "tarone-ware":
		return survival.TaroneWare, nil
	case "peto-modified":
		return survival.PetoModified, nil
	case "peto-andersen":
		return survival.PetoAndersen, nil
	}
	if powers, is := strings.CutPrefix(name, "fh-rho"); is {
		first, second, both := strings.Cut(powers, "-gamma")
		rho, ok := parseNumber(first)
		gamma := 0.0
		if ok && both {
			gamma, ok = parseNumber(second)
		}
		if ok && rho >= 0 && gamma >= 0 {
			return survival.RhoGamma(rho, gamma), nil
		}
	}
	return nil, fmt.Errorf("%q is no rank weight: expected logrank, gehan, tarone-ware, peto-modified, peto-andersen, "+
		"or Fleming–Harrington's as fh-rho1 or fh-rho0.5-gamma1", name)
}

// LogRank compares the groups of the data, within strata if there are any.
func LogRank(d *Data, o CompareOptions) (*LogRankResult, error) {
	weight, err := ParseRankWeight(o.RankWeight)
	if err != nil {
		return nil, err
	}
	strata, k := d.strata(), len(d.Groups.Names)
	r := &LogRankResult{
		Source: d.Source, RankWeight: o.RankWeight, Strata: len(strata), Groups: d.Groups.Names,
		Observed: unknown(k), Expected: unknown(k), Sums: unknown(k), Variance: unknownMatrix(k),
		comparison: noComparison(), groupColumns: d.groupColumns(),
	}
	test, err := survival.WeightedLogRank(weight, strata...)
	if open, err := d.compared(&r.Source, err); open {
		return r, err
	}
	r.Observed, r.Expected, r.Sums = plain(test.Observed), plain(test.Expected), plain(test.Sums)
	r.Variance, r.chiSquare = matrix(test.Variance), chiSquare{Number(test.ChiSq), test.DF, Number(test.P)}
	return r, r.further(o, r.Groups, test.Trend, func() ([]survival.Pair, error) {
		return survival.PairwiseLogRank(weight, strata...)
	})
}

// strata sorts the lives by stratum, and within each by group.
func (d *Data) strata() [][][]survival.Span {
	strata := make([][][]survival.Span, 1)
	if d.Strata != nil {
		strata = make([][][]survival.Span, len(d.Strata.Names))
	}
	for s := range strata {
		strata[s] = make([][]survival.Span, len(d.Groups.Names))
	}
	for i, span := range d.Spans {
		s, g := 0, d.Groups.Of[i]
		if d.Strata != nil {
			s = d.Strata.Of[i]
		}
		strata[s][g] = append(strata[s][g], span)
	}
	return strata
}
