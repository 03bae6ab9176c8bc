package pooling

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// vaccine are the thirteen trials of BCG against tuberculosis: vaccinated with
// and without it, controls with and without it, and the latitude in degrees.
// Source: Colditz et al., JAMA 271 (1994) 698–702, as in Berkey et al., Stat.
// Med. 14 (1995) 395–411.
var vaccine = [][5]float64{
	{4, 119, 11, 128, 44}, {6, 300, 29, 274, 55}, {3, 228, 11, 209, 42}, {62, 13536, 248, 12619, 52},
	{33, 5036, 47, 5761, 13}, {180, 1361, 372, 1079, 44}, {8, 2537, 10, 619, 19}, {505, 87886, 499, 87892, 13},
	{29, 7470, 45, 7232, 27}, {17, 1699, 65, 1600, 42}, {186, 50448, 141, 27197, 18}, {5, 2493, 3, 2338, 33},
	{27, 16886, 29, 17825, 33},
}

// vaccineData are log risk ratios with their variances, and latitude if asked.
func vaccineData(latitude bool) Data {
	d := Data{Covariance: mat.NewSymDense(len(vaccine), nil), Groupings: [][]int{{}}}
	for i, v := range vaccine {
		d.Estimates = append(d.Estimates, math.Log(v[0]/(v[0]+v[1])/(v[2]/(v[2]+v[3]))))
		d.Covariance.SetSym(i, i, 1/v[0]-1/(v[0]+v[1])+1/v[2]-1/(v[2]+v[3]))
		d.Groupings[0] = append(d.Groupings[0], i)
		if latitude {
			d.Design = append(d.Design, []float64{1, v[4]})
		}
	}
	return d
}

// TestVaccine has τ² 0.3132, mean −0.7145 (0.1798); with latitude τ² 0.0764,
// 0.2515 (0.2491) and −0.0291 (0.0072). Source: Viechtbauer, J. Stat. Softw. 36
// (2010) no. 3, sections 3.1 and 3.2, printed to four decimals; the latter
// model's figures from memory.
func TestVaccine(t *testing.T) {
	const printed = 0.00005001
	m, err := Fit(vaccineData(false))
	require.NoError(t, err)
	assert.InDelta(t, 0.3132, m.SD[0]*m.SD[0], printed)
	assert.InDelta(t, -0.7145, m.Coefficients[0], printed)
	assert.InDelta(t, 0.1798, math.Sqrt(m.Covariance.At(0, 0)), printed)

	m, err = Fit(vaccineData(true))
	require.NoError(t, err)
	// The program that printed it stops when τ² moves by less than 0.00001.
	assert.InDelta(t, 0.0764, m.SD[0]*m.SD[0], printed+0.00001)
	for j, want := range [][2]float64{{0.2515, 0.2491}, {-0.0291, 0.0072}} {
		assert.InDelta(t, want[0], m.Coefficients[j], printed)
		assert.InDelta(t, want[1], math.Sqrt(m.Covariance.At(j, j)), printed)
	}
}

// calendar is what 56 schools in 11 districts gained from another school
// calendar: district, standardised mean difference, its variance. Source: Cooper
// et al. (2003), as Konstantopoulos prints them, Res. Synth. Methods 2 (2011)
// 61–76.
var calendar = [][3]float64{
	{11, -0.18, 0.118}, {11, -0.22, 0.118}, {11, 0.23, 0.144}, {11, -0.30, 0.144}, {12, 0.13, 0.014}, {12, -0.26, 0.014},
	{12, 0.19, 0.015}, {12, 0.32, 0.024}, {18, 0.45, 0.023}, {18, 0.38, 0.043}, {18, 0.29, 0.012}, {27, 0.16, 0.020},
	{27, 0.65, 0.004}, {27, 0.36, 0.004}, {27, 0.60, 0.007}, {56, 0.08, 0.019}, {56, 0.04, 0.007}, {56, 0.19, 0.005},
	{56, -0.06, 0.004}, {58, -0.18, 0.020}, {58, 0.00, 0.018}, {58, 0.00, 0.019}, {58, -0.28, 0.022}, {58, -0.04, 0.020},
	{58, -0.30, 0.021}, {58, 0.07, 0.006}, {58, 0.00, 0.007}, {58, 0.05, 0.007}, {58, -0.08, 0.007}, {58, -0.09, 0.007},
	{71, 0.30, 0.015}, {71, 0.98, 0.011}, {71, 1.19, 0.010}, {86, -0.07, 0.001}, {86, -0.05, 0.001}, {86, -0.01, 0.001},
	{86, 0.02, 0.001}, {86, -0.03, 0.001}, {86, 0.00, 0.001}, {86, 0.01, 0.001}, {86, -0.10, 0.001}, {91, 0.50, 0.010},
	{91, 0.66, 0.011}, {91, 0.20, 0.010}, {91, 0.00, 0.009}, {91, 0.05, 0.013}, {91, 0.07, 0.013}, {108, -0.52, 0.031},
	{108, 0.70, 0.031}, {108, -0.03, 0.030}, {108, 0.27, 0.030}, {108, -0.34, 0.030}, {644, 0.12, 0.087}, {644, 0.61, 0.082},
	{644, 0.04, 0.067}, {644, -0.05, 0.067},
}

func calendarData() Data {
	d := Data{Covariance: mat.NewSymDense(len(calendar), nil), Groupings: [][]int{{}, {}}}
	for i, c := range calendar {
		d.Estimates = append(d.Estimates, c[1])
		d.Covariance.SetSym(i, i, c[2])
		d.Groupings[0] = append(d.Groupings[0], int(c[0]))
		d.Groupings[1] = append(d.Groupings[1], i)
	}
	return d
}

// TestCalendar has variances of 0.0651 between districts and 0.0327 between
// schools, a mean of 0.1847 with a standard error of 0.0846: REML by R's
// metafor, as its documentation of the data set dat.konstantopoulos2011 prints
// them (from memory, to four decimals).
func TestCalendar(t *testing.T) {
	const printed = 0.00005001
	m, err := Fit(calendarData())
	require.NoError(t, err)
	assert.InDelta(t, 0.0651, m.SD[0]*m.SD[0], printed)
	assert.InDelta(t, 0.0327, m.SD[1]*m.SD[1], printed)
	assert.InDelta(t, 0.1847, m.Coefficients[0], printed)
	assert.InDelta(t, 0.0846, math.Sqrt(m.Covariance.At(0, 0)), printed)
}
