package siting_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/cmd/beadspan/internal/siting"
)

// TestNumbers has the ways in which people write twelve numbers.
func TestNumbers(t *testing.T) {
	for _, text := range []string{"1.5 -2 3", "1,5 -2 3", "1,5;-2;3", "1.5, -2, 3", "1.5,-2,3", " 1.5\t-2  3 "} {
		got, err := siting.Numbers(text)
		require.NoError(t, err, text)
		assert.Equal(t, []float64{1.5, -2, 3}, got, text)
	}
	for _, text := range []string{"1 two", "1,2,3 4", "Inf 1", "1 NaN"} {
		_, err := siting.Numbers(text)
		assert.Error(t, err, text)
	}
}
