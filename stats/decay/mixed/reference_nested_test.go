package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"beadspan/stats/internal/check"
)

// pastes is the strength of two samples from each of three casks of each of
// ten batches: Davies and Goldsmith, Statistical Methods in Research and
// Production, 4th ed. (1972), 136, as in the data set Pastes of R's lme4.
var pastes = [10][3][2]float64{
	{{62.8, 62.6}, {60.1, 62.3}, {62.7, 63.1}}, {{60, 61.4}, {57.5, 56.9}, {61.1, 58.9}},
	{{58.7, 57.5}, {63.9, 63.1}, {65.4, 63.7}}, {{57.1, 56.4}, {56.9, 58.6}, {64.7, 64.5}},
	{{55.1, 55.1}, {54.7, 54.2}, {58.8, 57.5}}, {{63.4, 64.9}, {59.3, 58.1}, {60.5, 60}},
	{{62.5, 62.6}, {61, 58.7}, {56.9, 57.7}}, {{59.2, 59.4}, {65.2, 66}, {64.8, 64.1}},
	{{54.8, 54.8}, {64, 64}, {57.7, 56.8}}, {{58.3, 59.3}, {59.2, 59.2}, {58.9, 56.6}},
}

// Two nested levels against lme4's published fit of these data (from memory of
// its documentation: REML criterion 247.0, standard deviations 2.904, 1.287 and
// 0.8234, mean 60.0533 with SE 0.6769) and against the classical estimates from
// the mean squares of a balanced nested layout, which REML equals where none is
// negative.
func TestNestedPastes(t *testing.T) {
	var rows []Row
	var batchMeans, caskVariances, sampleVariances []float64
	for b, batch := range pastes {
		var caskMeans []float64
		for c, cask := range batch {
			for _, strength := range cask {
				rows = append(rows, Row{
					Value: strength, Weight: 1, Fixed: []float64{1}, Outer: b, Inner: c,
					OuterRandom: []float64{1}, InnerRandom: []float64{1},
				})
			}
			caskMeans = append(caskMeans, stat.Mean(cask[:], nil))
			sampleVariances = append(sampleVariances, stat.Variance(cask[:], nil))
		}
		batchMeans = append(batchMeans, stat.Mean(caskMeans, nil))
		caskVariances = append(caskVariances, stat.Variance(caskMeans, nil))
	}
	msBatch, msCask, ms := 6*stat.Variance(batchMeans, nil), 2*stat.Mean(caskVariances, nil), stat.Mean(sampleVariances, nil)

	fit, err := Linear(rows, LinearModel{
		Fixed: []string{"mean"}, Levels: []Level{{Effects: []string{"batch"}}, {Effects: []string{"cask"}}}, Criterion: REML,
	})
	require.NoError(t, err)
	batch, cask := fit.Levels[0], fit.Levels[1]
	check.Value(t, "SD of batches, published", batch.SD(0), 1.287, check.Tolerance{Abs: 5e-4})
	check.Value(t, "SD of casks, published", cask.SD(0), 2.904, check.Tolerance{Abs: 5e-4})
	check.Value(t, "residual SD, published", fit.ResidualSD, 0.8234, check.Tolerance{Abs: 5e-5})
	check.Value(t, "mean, published", fit.Fixed[0].Value, 60.0533, check.Tolerance{Abs: 5e-5})
	check.Value(t, "SE, published", fit.Fixed[0].SE, 0.6769, check.Tolerance{Abs: 5e-5})
	check.Value(t, "criterion, published", -2*fit.LogLik, 247.0, check.Tolerance{Abs: 0.05})

	tol := check.Tolerance{Rel: 1e-7}
	check.Value(t, "variance of batches", batch.Covariance.At(0, 0), (msBatch-msCask)/6, tol)
	check.Value(t, "variance of casks", cask.Covariance.At(0, 0), (msCask-ms)/2, tol)
	check.Value(t, "variance of samples", math.Pow(fit.ResidualSD, 2), ms, tol)
	check.Value(t, "SE", fit.Fixed[0].SE, math.Sqrt(msBatch/60), tol)
}

// oats is the yield of three varieties in each of six blocks at 0, 0.2, 0.4
// and 0.6 cwt of nitrogen: Yates, Suppl. J. R. Stat. Soc. 2 (1935) 181–247, as
// in the data set oats of R's MASS.
var oats = [6][3][4]float64{
	{{111, 130, 157, 174}, {117, 114, 161, 141}, {105, 140, 118, 156}},
	{{61, 91, 97, 100}, {70, 108, 126, 149}, {96, 124, 121, 144}},
	{{68, 64, 112, 86}, {60, 102, 89, 96}, {89, 129, 132, 124}},
	{{74, 89, 81, 122}, {64, 103, 132, 133}, {70, 89, 104, 117}},
	{{62, 90, 100, 116}, {80, 82, 94, 126}, {63, 70, 109, 99}},
	{{53, 74, 118, 113}, {89, 82, 86, 104}, {97, 99, 119, 121}},
}

// Pinheiro and Bates, Mixed-Effects Models in S and S-PLUS (2000), chapter 1,
// fit these by REML (their figures from memory).
func TestNestedOats(t *testing.T) {
	var rows []Row
	for b, block := range oats {
		for v, variety := range block {
			for i, yield := range variety {
				rows = append(rows, Row{
					Value: yield, Weight: 1, Fixed: []float64{1, 0.2 * float64(i)}, Outer: b, Inner: v,
					OuterRandom: []float64{1}, InnerRandom: []float64{1},
				})
			}
		}
	}
	fit, err := Linear(rows, LinearModel{
		Fixed: []string{"intercept", "nitrogen"}, Levels: []Level{{Effects: []string{"block"}}, {Effects: []string{"variety"}}}, Criterion: REML,
	})
	require.NoError(t, err)
	digits := check.Tolerance{Abs: 6e-4}
	check.Value(t, "intercept", fit.Fixed[0].Value, 81.872, digits)
	check.Value(t, "its SE", fit.Fixed[0].SE, 6.945, digits)
	check.Value(t, "slope", fit.Fixed[1].Value, 73.667, digits)
	check.Value(t, "its SE", fit.Fixed[1].SE, 6.781, digits)
	check.Value(t, "SD of blocks", fit.Levels[0].SD(0), 14.506, digits)
	check.Value(t, "SD of varieties", fit.Levels[1].SD(0), 11.005, digits)
	check.Value(t, "residual SD", fit.ResidualSD, 12.867, digits)
	check.Value(t, "log-likelihood", fit.LogLik, -296.5209, check.Tolerance{Abs: 5e-5})
}
