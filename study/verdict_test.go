package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestJudgeShare(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		atLeast, atMost, promised float64
		want                      Verdict
	}{
		{0.80, 0.90, 0.80, Supported}, // as much as promised is enough
		{0.79, 0.90, 0.80, CannotTell},
		{0.70, 0.80, 0.80, CannotTell},
		{0.70, 0.79, 0.80, Contradicted},
		{0, 1, 0.80, CannotTell},
		// Who promises nothing keeps it, and nobody can be shown to keep all.
		{0, 1, 0, Supported},
		{0.99, 1, 1, CannotTell},
		{0.99, 0.999, 1, Contradicted},
	} {
		assert.Equal(t, c.want, JudgeShare(c.atLeast, c.atMost, c.promised), "%v", c)
	}
}

// Promising less never makes a verdict worse, and narrower limits never turn one
// round.
func TestJudgeShareIsMonotone(t *testing.T) {
	t.Parallel()
	share := rapid.Float64Range(0, 1)
	good := map[Verdict]int{Contradicted: -1, CannotTell: 0, Supported: 1}
	rapid.Check(t, func(r *rapid.T) {
		a, b := share.Draw(r, "a"), share.Draw(r, "b")
		low, high := min(a, b), max(a, b)
		promised, less := share.Draw(r, "promised"), share.Draw(r, "less")
		verdict := JudgeShare(low, high, promised)
		assert.GreaterOrEqual(r, good[JudgeShare(low, high, promised*less)], good[verdict])
		mid := low + (high-low)*share.Draw(r, "narrower")
		assert.NotEqual(r, -1, good[JudgeShare(mid, high, promised)]*good[verdict])
		assert.NotEqual(r, -1, good[JudgeShare(low, mid, promised)]*good[verdict])
	})
}

func TestJudgeClaim(t *testing.T) {
	t.Parallel()
	assert.Equal(t, Supported, JudgeClaim(Supported, Supported))
	assert.Equal(t, Supported, JudgeClaim(Supported))
	assert.Equal(t, CannotTell, JudgeClaim(Supported, CannotTell))
	assert.Equal(t, Contradicted, JudgeClaim(CannotTell, Contradicted))
	assert.Equal(t, Contradicted, JudgeClaim(Contradicted, Supported))
	assert.Equal(t, CannotTell, JudgeClaim())
}
