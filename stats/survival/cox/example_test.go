package cox_test

import (
	"fmt"

	"beadspan/stats/survival/cox"
)

// Remission under 6-MP (1) and placebo (0) in the first six pairs of Freireich
// et al., Blood 21 (1963) 699–716, pairs as strata. In a pair only the first end
// counts: it came under placebo in four pairs, under 6-MP in two. So the hazard
// ratio is 2/4, its logarithm's variance 1/2 + 1/4, and the score test
// (4 − 2)²/6.
func ExampleFit() {
	model, err := cox.Fit(cox.Data{
		Covariates: 1, Names: []string{"6-MP"},
		X:       []float64{0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1},
		Stop:    []float64{1, 10, 22, 7, 3, 32, 12, 23, 8, 22, 17, 6},
		Event:   []bool{true, true, true, true, true, false, true, true, true, true, true, true},
		Stratum: []int{1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6},
	}, cox.Efron)
	if err != nil {
		fmt.Println(err)
		return
	}
	c := model.Coefficients[0]
	fmt.Printf("log hazard ratio %.4f, standard error %.4f\n", c.Value, c.SE)
	fmt.Printf("score test: %.3f on %d degree of freedom\n", model.Score.ChiSq, model.Score.DF)
	// Output:
	// log hazard ratio -0.6931, standard error 0.8660
	// score test: 0.667 on 1 degree of freedom
}
