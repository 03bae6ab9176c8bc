package study

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDay(t *testing.T) {
	d, err := ParseDay("2024-02-29")
	require.NoError(t, err)
	assert.Equal(t, DayOf(2024, time.February, 29), d)
	assert.Equal(t, "2024-02-29", d.String())
	assert.Equal(t, d+1, DayOf(2024, time.March, 1))
	assert.Equal(t, Day(-1), DayOf(1969, time.December, 31), "days before 1970 count too")

	// RFC 3339 §5.8: this instant is still the day before in its own zone.
	instant, err := time.Parse(time.RFC3339, "1996-12-19T16:39:57-08:00")
	require.NoError(t, err)
	assert.Equal(t, "1996-12-19", DayOfTime(instant).String())

	for _, bad := range []string{"", "2023-02-29", "29.02.2024", "2024-2-9"} {
		_, err := ParseDay(bad)
		assert.Error(t, err, bad)
	}
}
