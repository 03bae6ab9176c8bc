package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// never stands for no day of service.
const never = 1 << 20

// TestLeavesOn goes through what takes a patch out of the study. The rules are
// the project's own.
func TestLeavesOn(t *testing.T) {
	for _, c := range []struct {
		name     string
		history  []string
		estimand Estimand
		want     int // day of service; never where it stays
	}{
		{"nothing", nil, ToTopper, never},
		{"washes don't", []string{"30 care maintenance_wash", "40 care decon_wash"}, ToTopper, never},
		{"the first topper", []string{"60 care topper", "50 care topper"}, ToTopper, 50},
		{"a topper that is part of the care", []string{"50 care topper"}, AsMaintained, never},
		{"new film, whatever the question", []string{"50 care topper", "80 care film_replaced"}, AsMaintained, 80},
		{"a topper laid with the coating", []string{"-1 care topper"}, ToTopper, -1},
		{"a topper before the coating", []string{"-2 care topper"}, ToTopper, never},
		{"a repaint on the day of coating came first", []string{"-1 care repaint"}, ToTopper, never},
		{"a sale", []string{"400 care sold"}, ToTopper, 400},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, patch := history(t, c.history...)
			p := DefaultProtocol()
			p.Estimand = c.estimand
			day, leaves := p.LeavesOn(v, patch)
			assert.Equal(t, c.want != never, leaves)
			if leaves {
				assert.Equal(t, service+Day(c.want), day)
			}
		})
	}
}

// Care of another patch takes nothing out.
func TestLeavesOnIsOfOnePatch(t *testing.T) {
	v, patch := history(t, "50 care repaint")
	other := NewID()
	v.Care[0].PatchID = &other
	_, leaves := DefaultProtocol().LeavesOn(v, patch)
	assert.False(t, leaves)
}
