package web

import (
	"testing"

	"beadspan/study"
)

// BenchmarkPatchStory tells of one panel read 50 times at two stages.
func BenchmarkPatchStory(b *testing.B) {
	f := largeFleet(1, 50)
	followed := f.Follow(study.DefaultProtocol())[0]
	for b.Loop() {
		newPatchStory(languages[0], study.DefaultProtocol(), followed, study.DayOf(2025, 6, 1))
	}
}
