package study

import (
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// KeptLetter is a letter to a customer that was made and kept as it was, without
// its text.
type KeptLetter struct {
	ID        ID
	VehicleID ID
	Day       Day    // of the letter: what it says is of this day
	Language  string // by its tag of BCP 47
	Paper     string
	Version   string // of the program that wrote it
	MadeBy    ID     // account
	Made      time.Time
	Sent      *LetterSent // nil while nobody said that it was
}

// LetterSent says how a letter reached its customer.
type LetterSent struct {
	On  Day
	By  ID // account that said so
	How Sending
}

// Sending is a way for a letter to reach its customer.
type Sending string

// The ways.
const (
	SentPrinted Sending = "printed"
	SentLink    Sending = "link"
	SentFile    Sending = "file"
)

// Sendings lists the ways.
func Sendings() []Sending { return []Sending{SentPrinted, SentLink, SentFile} }

// Letterhead is what stands at the head of a shop's letters.
type Letterhead struct {
	StudyID ID
	ShopID  *ID    // nil for vehicles that name no shop
	Name    string // empty for none
	LogoPNG []byte // nil for none
}

// mostLetterheadName is how long a shop's name may be.
const mostLetterheadName = 100

// Validate says what is wrong with h.
func (h Letterhead) Validate() Problems {
	var ps Problems
	n := utf8.RuneCountInString(h.Name)
	if n > mostLetterheadName || !utf8.ValidString(h.Name) || strings.ContainsFunc(h.Name, unicode.IsControl) {
		ps.add("name", h.Name, "expected 100 characters or fewer, on one line")
	}
	return ps
}
