package store_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store/storetest"
)

// hundredThousand is a fleet of 100,080 readings: 556 vehicles, three patches
// each, read at three stages at 20 checkups.
func hundredThousand() study.Fleet { return many(556, 20) }

// BenchmarkLoad stores 100,080 readings that are new.
func BenchmarkLoad(b *testing.B) {
	f := hundredThousand()
	for b.Loop() {
		b.StopTimer()
		s := storetest.New(b)
		st := addStudy(b, s, "S1")
		b.StartTimer()
		load(b, s, st, f)
	}
}

// BenchmarkLoadAgain finds 100,080 readings unchanged.
func BenchmarkLoadAgain(b *testing.B) {
	f := hundredThousand()
	s := storetest.New(b)
	st := addStudy(b, s, "S1")
	load(b, s, st, f)
	for b.Loop() {
		load(b, s, st, f)
	}
}

// BenchmarkLoadDiffering finds 100,080 readings that all differ, and proposes
// as many amendments.
func BenchmarkLoadDiffering(b *testing.B) {
	f := hundredThousand()
	other := rewritten(f, func(*study.ID) {})
	for _, v := range other.Vehicles {
		for _, c := range v.Checkups {
			for i := range c.Readings {
				c.Readings[i].Note = "read again"
			}
		}
	}
	for b.Loop() {
		b.StopTimer()
		s := storetest.New(b)
		st := addStudy(b, s, "S1")
		load(b, s, st, f)
		b.StartTimer()
		loaded := load(b, s, st, other)
		require.Equal(b, f.Size().Readings, loaded.Proposed)
	}
}

// BenchmarkFleet reads 100,080 readings.
func BenchmarkFleet(b *testing.B) {
	s := storetest.New(b)
	st := addStudy(b, s, "S1")
	load(b, s, st, hundredThousand())
	for b.Loop() {
		fleetOf(b, s, st)
	}
}
