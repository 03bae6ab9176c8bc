package study

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestProblemListIsBounded(t *testing.T) {
	var l ProblemList
	assert.NoError(t, l.Problems().OrNil())
	for row := range MaxProblems + 3 {
		assert.Equal(t, row >= MaxProblems, l.Full())
		l.Add(Problem{Row: row + 1, Got: strings.Repeat("θ", 61)})
	}
	all := l.Problems()
	assert.Len(t, all, MaxProblems+1)
	assert.Equal(t, Problem{Row: MaxProblems, Got: strings.Repeat("θ", 60) + "…"}, all[MaxProblems-1])
	assert.Equal(t, "and 3 more problems", all[MaxProblems].String())
}
