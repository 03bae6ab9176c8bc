package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// kitten and sitting are three apart, Saturday and Sunday too: Wagner and
// Fischer's recursion, J. ACM 21 (1974) 168–173, is repeated naively below.
func TestDistance(t *testing.T) {
	assert.Equal(t, 3, distance("kitten", "sitting", 9))
	assert.Equal(t, 3, distance("saturday", "sunday", 9))
	assert.Equal(t, 2, distance("kitten", "sitting", 2), "given up")
	rapid.Check(t, func(rt *rapid.T) {
		a := rapid.StringMatching("[ab]{0,6}").Draw(rt, "a")
		b := rapid.StringMatching("[abc]{0,6}").Draw(rt, "b")
		limit := rapid.IntRange(1, 8).Draw(rt, "limit")
		assert.Equal(rt, min(naiveDistance(a, b), limit), distance(a, b, limit))
	})
}

func naiveDistance(a, b string) int {
	if a == "" || b == "" {
		return len(a) + len(b)
	}
	replaced := naiveDistance(a[1:], b[1:])
	if a[0] != b[0] {
		replaced++
	}
	return min(replaced, naiveDistance(a[1:], b)+1, naiveDistance(a, b[1:])+1)
}

func TestNearest(t *testing.T) {
	candidates := []string{"V-017", "V-018", "HARBOUR"}
	for word, want := range map[string]string{"v-018": "V-018", "V017": "V-017", "harbor": "HARBOUR", "V-01": "V-017", "INLAND": "", "X": "", "": ""} {
		got, found := nearest(word, candidates)
		assert.Equal(t, want != "", found, word)
		if found {
			assert.Equal(t, want, got, word)
		}
	}
}
