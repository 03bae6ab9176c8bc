package study

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Amendment is a correction of one stored record. It is proposed when a load
// says otherwise than what is stored, and changes nothing until a person
// accepts it. Accepted ones are the trail of what the record said before.
type Amendment struct {
	ID ID `json:"id"`
	// VehicleID is the vehicle the record belongs to; nil for a coating or a
	// site, which all studies share.
	VehicleID *ID `json:"vehicle_id"`
	// Record names the record in words, such as "V012 2025-03-04 washed P1".
	Record  string         `json:"record"`
	Changes []Change       `json:"changes"` // one for each field that differs, ordered by field
	State   AmendmentState `json:"state"`

	ProposedAt time.Time `json:"proposed_at"`
	// Who decided, when and why; nothing while the amendment is proposed.
	DecidedBy  string     `json:"decided_by"` // a person's code
	DecidedAt  *time.Time `json:"decided_at"`
	DecidedWhy string     `json:"decided_why"`
}

// Change is one field of a record, before and after. A coating, site or person
// is named by code, a list is written like [101.5, 99]; a value that is missing
// is empty.
type Change struct {
	Field  string `json:"field"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// String writes the change as one line.
func (c Change) String() string {
	return fmt.Sprintf("%s: %s → %s", c.Field, orNothing(c.Before), orNothing(c.After))
}

func orNothing(value string) string {
	if value == "" {
		return "nothing"
	}
	return value
}

// AmendmentState says what became of an amendment.
type AmendmentState string

// The states of an amendment.
const (
	Proposed AmendmentState = "proposed"
	Accepted AmendmentState = "accepted" // the record now says what it proposed
	Declined AmendmentState = "declined" // the same change isn't proposed again
)

// AmendmentStates lists the states of an amendment.
func AmendmentStates() []AmendmentState { return []AmendmentState{Proposed, Accepted, Declined} }

// ErrDecided says that an amendment was accepted or declined before.
var ErrDecided = errors.New("already decided")

// ConflictError says that a record has changed since an amendment of it was
// proposed, so that accepting it would undo somebody else's change.
type ConflictError struct {
	Record string
	// Changed holds the fields concerned: as the amendment knew them, and as
	// they are now.
	Changed []Change
}

// Error says what has changed.
func (e *ConflictError) Error() string {
	lines := make([]string, len(e.Changed))
	for i, c := range e.Changed {
		lines[i] = c.String()
	}
	return fmt.Sprintf("%s has changed since (%s): decline the amendment and load the log again to propose a new one",
		e.Record, strings.Join(lines, "; "))
}
