package survival_test

import (
	"math"
	"testing"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// inputs of a check, as far as this package's methods have them.
type inputs struct {
	Time, Status, Left, Right, Entry, Group, Weight, Scores string
	RankWeight                                              string `json:"rank_weight"`
	Strata                                                  []string
	Subset                                                  map[string]any
	Level                                                   float64 `json:"conf_level"`
	At                                                      float64
}

// TestReference runs every check of the reference cases of a topic: numbers of
// other software, with sources in testdata/reference.
func TestReference(t *testing.T) {
	methods := map[string]func(*testing.T, check.Table, inputs, check.Check){
		"km":               referenceKaplanMeier,
		"km_at":            referenceAt,
		"npmle":            referenceTurnbull,
		"logrank":          referenceLogRank,
		"pairwise_logrank": referencePairwise,
		"ic_score_test":    referenceScoreTest,
	}
	for _, topic := range []string{"kaplan-meier", "npmle"} {
		for _, c := range check.Cases(t, topic) {
			for _, ch := range c.Checks {
				t.Run(c.ID+"/"+ch.ID, func(t *testing.T) {
					in := check.Decode[inputs](t, ch.Inputs)
					run := methods[ch.Method]
					if run == nil {
						t.Fatalf("no test for method %q", ch.Method)
					}
					data := c.Data.Where(t, in.Subset)
					run(t, data, in, ch)
				})
			}
		}
	}
}

// spans reads the lives of a case: time and status, or left and right.
func (in inputs) spans(t *testing.T, d check.Table) []Span {
	var entry []float64
	if in.Entry != "" {
		entry = d.Floats(t, in.Entry, 0)
	}
	spans := make([]Span, d.Len())
	if in.Time != "" {
		time, status := d.Floats(t, in.Time, 0), d.Floats(t, in.Status, 0)
		for i := range spans {
			spans[i] = RightCensored(time[i])
			if status[i] == 1 {
				spans[i] = Exact(time[i])
			}
		}
	} else {
		left, right := d.Floats(t, in.Left, 0), d.Floats(t, in.Right, math.Inf(1))
		for i := range spans {
			spans[i] = Between(left[i], right[i])
		}
	}
	for i := range entry {
		spans[i] = spans[i].EnteredAt(entry[i])
	}
	if in.Weight != "" {
		for i, w := range d.Floats(t, in.Weight, 0) {
			spans[i] = spans[i].Weighing(w)
		}
	}
	return spans
}

// column picks one number from each element of a slice.
func column[T any](rows []T, pick func(T) float64) []float64 {
	numbers := make([]float64, len(rows))
	for i, r := range rows {
		numbers[i] = pick(r)
	}
	return numbers
}

// reached turns what was not reached, +Inf here, into the reference's null.
func reached(t float64) float64 {
	if math.IsInf(t, 1) {
		return math.NaN()
	}
	return t
}

func referenceAt(t *testing.T, d check.Table, in inputs, ch check.Check) {
	want := check.Decode[struct{ Survival float64 }](t, ch.Expected)
	curve, err := KaplanMeier(in.spans(t, d), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	check.Value(t, "S", curve.At(in.At).Survival, want.Survival, *ch.Tolerance)
}
