package survival_test

import (
	"fmt"

	"beadspan/stats/survival"
)

// Six patches checked at five-month visits; the estimate is worked by hand in
// TestTurnbullEndsAreOpenBelow.
func ExampleTurnbull() {
	curve, err := survival.Turnbull([]survival.Span{
		survival.LeftCensored(5),
		survival.Between(5, 10), survival.Between(5, 10),
		survival.Between(10, 15),
		survival.LeftCensored(10),
		survival.RightCensored(10),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	at := curve.At(7)
	fmt.Printf("S(7) lies between %.3f and %.3f\n", at.Lower, at.Upper)
	median := curve.Quantile(0.5)
	fmt.Printf("half have ended within (%v, %v]\n", median.Lower, median.Upper)
	// Output:
	// S(7) lies between 0.333 and 0.778
	// half have ended within (5, 10]
}
