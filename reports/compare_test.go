package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestComparisonSaysWhatItRestsOn counts vehicles by hand. Three vehicles with
// both coatings can exchange names in 8 ways, so that p is 2/8 at best.
func TestComparisonSaysWhatItRestsOn(t *testing.T) {
	compared := func(y *yard) Comparison {
		life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating))
		require.NoError(t, err)
		require.Len(t, life.Comparisons, 1)
		return life.Comparisons[0]
	}
	both := newYard()
	for _, day := range []int{100, 200, 300} {
		v := both.spent("Cfb", "A-1", day, day+10)
		both.patch(v, "B/2", clean{day + 205, 105}, clean{day + 215, 80})
	}
	c := compared(both)
	assert.Equal(t, 0.25, c.P)
	assert.Equal(t, []string{
		"compares patches within the 3 vehicles with more than one of these",
		"could not have shown any difference, however large, with so few vehicles: the smallest p they can give is 0.25",
		"rests on 6 spent patches in all",
	}, c.Notes)
	assert.Contains(t, c.Sentence(), "are not shown to differ")

	both.spent("Cfb", "A-1", 120, 130)
	assert.Contains(t, compared(both).Notes, "leaves aside 1 vehicle with nothing to compare with")

	for _, day := range []int{140, 150, 160, 170} {
		both.spent("Cfb", "A-1", day, day+10)
		both.spent("Cfb", "B/2", day+207, day+217)
	}
	c = compared(both)
	assert.Less(t, c.P, 0.05)
	assert.Subset(t, c.Notes, []string{
		"compares patches within the 3 vehicles with more than one of these",
		"compares 9 vehicles with one of these each",
	})
}
