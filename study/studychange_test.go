package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestDifferences(t *testing.T) {
	t.Parallel()
	a := Study{Code: "S", Protocol: DefaultProtocol(), CarePlan: DefaultCarePlan()}
	assert.Empty(t, a.Differences(a))
	b := a
	b.Question, b.Protocol.Threshold, b.CarePlan.IronDays = "How long?", 87.5, 0
	b.Protocol.Claim = ClaimRule{LowPct: 75.5, HighPct: 5, ConfidencePct: 90}
	assert.Equal(t, []Change{{"question", "", "How long?"}, {"threshold", "90", "87.5"}, {"claim_low_pct", "80", "75.5"},
		{"claim_high_pct", "10", "5"}, {"claim_confidence_pct", "95", "90"}, {"iron_days", "105", "0"}}, a.Differences(b))
}

// A patch read at 88° on two clean panels is spent below 90° and holds at 85°;
// one at 100° holds under both, and a control is not followed.
func TestSpansChanged(t *testing.T) {
	t.Parallel()
	coating, control := Coating{ID: NewID(), Code: "A"}, Coating{ID: NewID(), Code: "BARE", Control: true}
	v := Vehicle{ID: NewID(), Code: "V1"}
	angles := []float64{88, 100, 88}
	for i, c := range []Coating{coating, coating, control} {
		v.Patches = append(v.Patches, Patch{ID: NewID(), Code: string(rune('A' + i)), CoatingID: c.ID})
	}
	for _, day := range []Day{30, 60} {
		c := Checkup{ID: NewID(), Day: day}
		for i, p := range v.Patches {
			c.Readings = append(c.Readings, Reading{PatchID: p.ID, Stage: Decon, AnglesDeg: []float64{angles[i]}})
		}
		v.Checkups = append(v.Checkups, c)
	}
	f := Fleet{Coatings: []Coating{coating, control}, Vehicles: []Vehicle{v}}
	lower := DefaultProtocol()
	lower.Threshold = 85
	changed, of := f.SpansChanged(DefaultProtocol(), lower)
	assert.Equal(t, 2, of)
	if assert.Len(t, changed, 1) {
		assert.Equal(t, "A", changed[0].Patch.Code)
		assert.Equal(t, Spent, changed[0].Before.Standing)
		assert.Equal(t, Holding, changed[0].After.Standing)
	}
	changed, _ = f.SpansChanged(lower, lower)
	assert.Empty(t, changed)
}
