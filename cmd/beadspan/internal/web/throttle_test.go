package web

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestThrottleByAddress(t *testing.T) {
	now := time.Unix(0, 0)
	th := newThrottle()
	th.now = func() time.Time { return now }
	for i := range triesOfAddress {
		require.True(t, th.allow(fmt.Sprint(i), "a"))
	}
	assert.False(t, th.allow("somebody", "a"))
	assert.True(t, th.allow("somebody", "b"), "an address that is refused costs the name nothing")
	now = now.Add(addressEvery)
	assert.True(t, th.allow("x", "a"))
	assert.False(t, th.allow("x", "a"))
}

// Whoever tries ever new names doesn't fill the memory.
func TestThrottleForgets(t *testing.T) {
	now := time.Unix(0, 0)
	th := newThrottle()
	th.now = func() time.Time { return now }
	for i := range 3 * mostKnown {
		th.allow(fmt.Sprint(i), fmt.Sprint(i))
		assert.LessOrEqual(t, len(th.known), mostKnown+1)
	}
	th.known = map[string]*attempts{}
	for range triesOfName {
		th.allow("kw", "a")
	}
	for i := range mostKnown - 2 {
		th.of(fmt.Sprint(i), 1, 1, now.Add(-2*forgetAfter))
	}
	assert.False(t, th.allow("kw", "a"), "who was seen lately is not forgotten with the others")
	assert.Len(t, th.known, 2)
}
