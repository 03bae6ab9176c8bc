package study

import "github.com/google/uuid"

// ID names a record. It is a UUIDv7 made where the record is born, on a phone
// without a network if need be, so that sending a record twice stores it once.
type ID = uuid.UUID

// NewID makes an ID of the present moment.
func NewID() ID {
	return uuid.Must(uuid.NewV7()) // fails only when the system has no randomness
}
