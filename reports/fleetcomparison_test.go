package reports

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// roughComparison are the options of a comparison with little resampling.
func roughComparison() ComparisonOptions {
	o := DefaultComparisonOptions()
	o.BootstrapReplicates = 20
	return o
}

func comparisonOf(t *testing.T, y *yard, o ComparisonOptions) *FleetComparison {
	t.Helper()
	c, err := NewFleetComparison(t.Context(), y.fleet, atOnce(), o)
	require.NoError(t, err)
	return c
}

// pairOf is the pair of two coatings, with the first one of the two as A.
func pairOf(t *testing.T, c *FleetComparison, a, b string) CoatingPair {
	t.Helper()
	i := slices.IndexFunc(c.Pairs, func(p CoatingPair) bool { return p.A == a && p.B == b })
	require.GreaterOrEqual(t, i, 0, "the pair %s and %s among %v", a, b, c.Pairs)
	return c.Pairs[i]
}

// readRatio is a pair's ratio by a reading of the records.
func readRatio(t *testing.T, c *FleetComparison, what, a, b string) ReadRatio {
	t.Helper()
	i := slices.IndexFunc(c.Readings, func(r Reading) bool { return r.What == what })
	require.GreaterOrEqual(t, i, 0, what)
	for p, pair := range c.Pairs {
		if pair.A == a && pair.B == b {
			return c.Readings[i].Ratios[p]
		}
	}
	require.FailNow(t, "no such pair", a+" and "+b)
	return ReadRatio{}
}

// The cosmesis data as a fleet whose coatings are the arms, from readings on:
// log life is 0.5646969182353874 lower with chemotherapy, SE 0.17586095982704825
// (testdata/reference/aft/cosmesis-interval.json, R 4.2.2, Weibull, which has the
// least AIC of R's four). A patch a vehicle and one climate leave nothing to hold
// alike; R's errors take patches as independent.
func TestComparisonOfCosmesis(t *testing.T) {
	t.Parallel()
	y := cosmesisYard(t, "npmle/cosmesis.csv")
	c := comparisonOf(t, y, roughComparison())
	const log, se = 0.5646969182353874, 0.17586095982704825
	pair := pairOf(t, c, "radiation", "radiation+chemo")
	require.NotNil(t, pair.Ratio, pair.RatioWhy)
	assert.InEpsilon(t, math.Exp(log), pair.Ratio.Ratio, 1e-6)
	require.Len(t, c.Models, 1)
	assert.Equal(t, "weibull", c.Models[0].Law)
	assert.Equal(t, 94, c.Models[0].Patches)

	naive := readRatio(t, c, "patches taken as independent", pair.A, pair.B).Ratio
	assert.InEpsilon(t, math.Exp(log-1.959963984540054*se), naive.Limits.Low, 1e-5)
	assert.InEpsilon(t, math.Exp(log+1.959963984540054*se), naive.Limits.High, 1e-5)
	// The next best by R's AIC is the log-logistic, with a coefficient of
	// −0.483782016332239.
	next := readRatio(t, c, "log-logistic lives, not Weibull", pair.A, pair.B).Ratio
	assert.InEpsilon(t, math.Exp(0.483782016332239), next.Ratio, 1e-6)
	assert.Nil(t, readRatio(t, c, "vehicles that carry both, alone", pair.A, pair.B).Ratio, "no vehicle does")

	// By 20,000 deals of names p is 0.00725 in npmle/cosmesis.json; both that and
	// our 9,999 leave four standard errors of chance.
	own := math.Sqrt(0.00725 / relabellings)
	assert.InDelta(t, 0.00725, pair.RankP, 4*math.Hypot(own, 0.0005978))
}

// spanYard gives patches spans as they are, such as published lives.
type spanYard struct {
	vehicles map[string]*study.Vehicle
	followed []study.Followed
}

func (y *spanYard) patch(vehicle, coating, climate string, s study.Span) {
	if y.vehicles == nil {
		y.vehicles = map[string]*study.Vehicle{}
	}
	if y.vehicles[vehicle] == nil {
		y.vehicles[vehicle] = &study.Vehicle{ID: study.NewID(), Code: vehicle}
	}
	s.Known = true
	y.followed = append(y.followed, study.Followed{Vehicle: y.vehicles[vehicle], Patch: &study.Patch{ID: study.NewID()},
		Coating: study.Coating{Code: coating}, Site: study.Site{Koppen: climate}, Span: s})
}

func number64(t *testing.T, cell string) float64 {
	t.Helper()
	if cell == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(cell, 64)
	require.NoError(t, err)
	return x
}

// The retinopathy data (Huster, Brookmeyer and Self, 1989): two eyes a patient,
// one of them treated. An eye is a patch, a patient a vehicle, treatment the
// coating and adult onset the climate. R 4.2.2 with survival 3.5-3 finds, by
// survreg(Surv(time, status) ~ trt + adult, dist = "lognormal"), a coefficient of
// 1.0352181357741042, and refitted without each patient in turn a jackknife error
// of 0.2029009565115471, where independent eyes would have 0.23215316803134375.
// One Newton step in place of each refit comes within a few hundredths of it.
func TestComparisonOfRetinopathy(t *testing.T) {
	t.Parallel()
	var y spanYard
	for _, row := range readCSV(t, reference+"aft/retinopathy-clustered.csv") {
		time := number64(t, row[1])
		s := study.Span{LowerDays: time, UpperDays: time}
		if row[2] == "0" {
			s.UpperDays = math.Inf(1)
		}
		y.patch(row[0], "trt"+row[3], row[4], s)
	}
	f := newCoatingSample(y.followed).ratios(ratioPlan{adjusted: true, clustered: true, level: 0.95})
	require.NoError(t, f.err)
	require.Len(t, f.models, 1)
	assert.Equal(t, "lognormal", f.models[0].Law, "the least AIC by R: 1672.96 against 1677.38 and 1680.60")
	r, why := f.ratio("trt1", "trt0")
	require.Empty(t, why)
	assert.InEpsilon(t, math.Exp(1.0352181357741042), r.Ratio, 1e-5)
	const student = 1.97214122166 // on 196 degrees of freedom: R's qt(0.975, 196)
	assert.InEpsilon(t, 0.2029009565115471, math.Log(r.Limits.High/r.Ratio)/student, 0.03)
	assert.Equal(t, []string{"trt1", "trt0"}, f.byLife([]string{"trt0", "trt1"}))

	naive := newCoatingSample(y.followed).ratios(ratioPlan{adjusted: true, level: 0.95})
	n, _ := naive.ratio("trt1", "trt0")
	assert.InEpsilon(t, 0.23215316803134375, math.Log(n.Limits.High/n.Ratio)/1.959963984540054, 1e-4)
}

// The made-up lives in four climates of the reference, garaged or not: R 4.2.2,
// survreg(Surv(left, right, type = "interval2") ~ garaged + factor(climate)), has
// for "garaged" 0.22398129144928161 (SE 0.078991969112184424), and without climate
// 0.19998849285207818 (Weibull, which has the least AIC).
func TestComparisonIsAdjustedForClimate(t *testing.T) {
	t.Parallel()
	var y spanYard
	for _, row := range readCSV(t, reference+"aft/sim-climate-mixed.csv") {
		lower, upper := number64(t, row[1]), number64(t, row[2])
		if math.IsNaN(lower) {
			lower = 0
		}
		if math.IsNaN(upper) {
			upper = math.Inf(1)
		}
		y.patch(row[0], "garaged"+row[7], row[3], study.Span{LowerDays: lower, UpperDays: upper})
	}
	s := newCoatingSample(y.followed)
	adjusted := s.ratios(ratioPlan{adjusted: true, level: 0.95})
	require.NoError(t, adjusted.err)
	assert.Equal(t, "weibull", adjusted.models[0].Law)
	r, why := adjusted.ratio("garaged1", "garaged0")
	require.Empty(t, why)
	assert.InEpsilon(t, math.Exp(0.22398129144928161), r.Ratio, 1e-5)
	assert.InEpsilon(t, math.Exp(0.22398129144928161+1.959963984540054*0.078991969112184424), r.Limits.High, 1e-5)
	raw := s.ratios(ratioPlan{level: 0.95})
	require.NoError(t, raw.err)
	r, _ = raw.ratio("garaged1", "garaged0")
	assert.InEpsilon(t, math.Exp(0.19998849285207818), r.Ratio, 1e-5)
}

// The lung cancer data by sex as two coatings: the reference's means of lives
// counted up to 500 days are 360.911 and 278.763 (R 4.2.2, survfit), their errors
// 16.801 and 14.355.
func TestLeadOfLungCancer(t *testing.T) {
	t.Parallel()
	var y spanYard
	for _, row := range readCSV(t, reference+"kaplan-meier/lung.csv") {
		time := number64(t, row[2])
		s := study.Span{LowerDays: time, UpperDays: time}
		if row[3] == "0" {
			s.UpperDays = math.Inf(1)
		}
		y.patch(row[0], "sex"+row[5], "Cfb", s)
	}
	o := DefaultComparisonOptions()
	o.BootstrapReplicates, o.HorizonMonths = 400, 500/study.DaysPerMonth
	lead, why, err := newCoatingSample(y.followed).lead(t.Context(), "sex2", "sex1", o, &tally{})
	require.NoError(t, err)
	require.Empty(t, why)
	assert.InEpsilon(t, 360.91095419546645/study.DaysPerMonth, lead.Means[0], 1e-8)
	assert.InEpsilon(t, (360.91095419546645-278.76323152999436)/study.DaysPerMonth, lead.Months, 1e-7)
	const student = 1.98697869951 // on 89 degrees of freedom: R's qt(0.975, 89)
	se := math.Hypot(16.801018168693957, 14.354558566712331) / study.DaysPerMonth
	assert.InEpsilon(t, student*se, lead.Limits.High-lead.Months, 0.12, "400 replicates leave 3.5 % of chance")
	assert.Equal(t, [2]int{90, 138}, lead.Patches)
}

// With several pairs looked at, p = 0.03 is no discovery: Holm's method makes
// 0.06 of the smaller of two, and as much of the larger. A pair without a ratio
// doesn't count.
func TestRatiosAreAdjusted(t *testing.T) {
	t.Parallel()
	pairs := []CoatingPair{{Ratio: &RatioOfLives{P: 0.04}}, {}, {Ratio: &RatioOfLives{P: 0.03}}}
	adjustRatios(pairs)
	assert.InDelta(t, 0.06, pairs[0].Ratio.Adjusted, 1e-15)
	assert.InDelta(t, 0.06, pairs[2].Ratio.Adjusted, 1e-15)
	for _, p := range pairs {
		assert.False(t, p.Ratio.Shown(0.95))
	}
	assert.True(t, (&RatioOfLives{Adjusted: 0.049}).Shown(0.95))
}

// A climate in which nobody was spent yet tells nothing of ratios, and takes
// nothing from them.
func TestComparisonWithASilentClimate(t *testing.T) {
	t.Parallel()
	y := twoCoatings(6, 60, 1.4)
	before := comparisonOf(t, y, roughComparison())
	for range 10 {
		v := y.held("Dfb", "A", 100)
		y.patch(v, "B", clean{100, 105})
	}
	after := comparisonOf(t, y, roughComparison())
	assert.Equal(t, before.Pairs[0].Ratio, after.Pairs[0].Ratio)
	assert.Equal(t, before.Models, after.Models)
	assert.Equal(t, before.Pairs[0].Both+10, after.Pairs[0].Both)
}
