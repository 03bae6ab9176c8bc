package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestConflictErrorSaysWhatChanged(t *testing.T) {
	err := &ConflictError{
		Record: "V012 2025-03-04 washed P1",
		Changed: []Change{
			{Field: "note", Before: "wind"},
			{Field: "sheet_time_s", Before: "12", After: "13"},
		},
	}
	assert.EqualError(t, err, "V012 2025-03-04 washed P1 has changed since (note: wind → nothing; sheet_time_s: 12 → 13): "+
		"decline the amendment and load the log again to propose a new one")
}

func TestAmendmentStates(t *testing.T) {
	assert.Equal(t, []AmendmentState{Proposed, Accepted, Declined}, AmendmentStates())
}
