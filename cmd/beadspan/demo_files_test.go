package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/ingest"
	"beadspan/study"
	"beadspan/testdata"
	"beadspan/testdata/demo/simulate"
	"beadspan/testdata/demo/simulate/write/demofiles"
)

// TestDemoFiles holds the committed demo to its simulator, byte by byte. When it
// fails: go run ./testdata/demo/simulate/write
func TestDemoFiles(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, demofiles.Write(dir, simulate.Seed))
	made, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, made, 8, "six tables, the truth and a README")
	for _, file := range made {
		want, err := os.ReadFile(filepath.Join("../../testdata/demo", file.Name()))
		require.NoError(t, err)
		got, err := os.ReadFile(filepath.Join(dir, file.Name()))
		require.NoError(t, err)
		assert.True(t, string(want) == string(got), "%s is not what the simulator writes", file.Name())
	}
	_, err = fs.Stat(testdata.Demo(), "truth.csv")
	assert.NoError(t, err)
}

// TestDemoLogReads reads the demo as a user's log is read: nothing is lost on
// the way, and the column of somebody's own becomes a note.
func TestDemoLogReads(t *testing.T) {
	fleet := readDemo(t)
	want := simulate.Fleet(simulate.Seed).Size()
	assert.Equal(t, want, fleet.Size())
	assert.Contains(t, fleet.Vehicles[0].Checkups[0].Readings[0].Note, "weather: ")
}

// TestDemoDecides checks that every decision of the rules is taken somewhere in
// the demo, on coated patches.
func TestDemoDecides(t *testing.T) {
	var decided study.Decided
	fleet := readDemo(t)
	for _, f := range fleet.Follow(study.DefaultProtocol()) {
		if !f.Coating.Control {
			decided.Add(f.Span.Decided)
		}
	}
	counts := reflect.ValueOf(decided)
	for i := range counts.NumField() {
		assert.Positive(t, counts.Field(i).Int(), counts.Type().Field(i).Name)
	}
}

// TestDemoAwkward checks that each awkward record is decided as design and
// README say.
func TestDemoAwkward(t *testing.T) {
	fleet := readDemo(t)
	followed := fleet.Follow(study.DefaultProtocol())
	awkward := simulate.New(simulate.Seed).Awkward
	assert.Len(t, awkward, len(awkwardWants), "every case turns up once")
	for _, a := range awkward {
		t.Run(string(a.Case), func(t *testing.T) {
			i := slices.IndexFunc(followed, func(f study.Followed) bool {
				return f.Vehicle.Code == a.Vehicle && f.Patch.Code == a.Patch
			})
			require.GreaterOrEqual(t, i, 0)
			f := followed[i]
			want, known := awkwardWants[a.Case]
			require.True(t, known)
			want(t, f, a.Day)
		})
	}
}

// awkwardWants says what the rules must make of each case. day is the day that
// the case is about.
var awkwardWants = map[simulate.Case]func(t *testing.T, f study.Followed, day study.Day){
	simulate.SaltCrust: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Positive(t, f.Span.Decided.Masked)
		assert.GreaterOrEqual(t, f.Span.LowerDays, service(f, day), "the decon reading proves that it held")
	},
	simulate.HurriedOwner: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Equal(t, study.Doubtful, f.Span.Standing)
		assert.Positive(t, f.Span.Decided.DoubtfulVisits)
		assert.False(t, f.Span.Spent())
		assert.Less(t, f.Span.LowerDays, service(f, day))
	},
	simulate.HotPanel: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Positive(t, f.Span.Decided.Cancelled)
		assert.Contains(t, f.Span.Reviews, study.Review{Day: day, What: study.CancelledFail})
		assert.Greater(t, f.Span.LowerDays, service(f, day), "it lived on")
	},
	simulate.LastFail:     wantPending,
	simulate.TwoOperators: wantPending,
	simulate.GlossyShampoo: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Positive(t, f.Span.Decided.Contrary)
		assert.Contains(t, f.Span.Reviews, study.Review{Day: day, What: study.ContraryPair})
		assert.True(t, f.Span.Spent())
		assert.Less(t, f.Span.LowerDays, service(f, day), "the pass before decon proves nothing")
	},
	simulate.UnloggedTopper: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Positive(t, f.Span.Decided.PassedAfter)
		assert.Contains(t, f.Span.Reviews, study.Review{Day: day, What: study.PassAfterSpent})
		assert.True(t, f.Span.Spent())
		assert.Less(t, f.Span.UpperDays, service(f, day))
	},
	simulate.ToppedAtOnce: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Equal(t, study.Topper, f.Span.Ended)
		assert.Equal(t, day, f.Span.EndedOn)
		assert.False(t, f.Span.Known)
		assert.Positive(t, f.Span.Decided.VisitsAfterCut)
	},
	simulate.ToppedLater: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Equal(t, study.Topper, f.Span.Ended)
		assert.Equal(t, day, f.Span.EndedOn)
		assert.LessOrEqual(t, f.Span.LowerDays, service(f, day))
		assert.Positive(t, f.Span.Decided.VisitsAfterCut)
		maintained := study.DefaultProtocol()
		maintained.Estimand = study.AsMaintained
		assert.Greater(t, maintained.Derive(*f.Vehicle, *f.Patch).LowerDays, f.Span.LowerDays)
	},
	simulate.NeverRead: wantUnread,
	simulate.ReadByEye: wantUnread,
	simulate.FilmedFirst: func(t *testing.T, f study.Followed, _ study.Day) {
		assert.Empty(t, f.Span.Ended)
		assert.True(t, f.Span.Known)
		assert.Zero(t, f.Span.Decided.CutByCare)
	},
	simulate.SeenWhenSold: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Equal(t, study.Sold, f.Span.Ended)
		assert.Equal(t, study.Ended, f.Span.Standing)
		assert.Equal(t, 1, f.Span.Decided.VisitsAfterCut)
		assert.Less(t, f.Span.LowerDays, service(f, day))
	},
	simulate.OnePanelLost: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Equal(t, day, f.Span.EndedOn)
		assert.Equal(t, study.Ended, f.Span.Standing)
		goOn := slices.ContainsFunc(f.Vehicle.Patches, func(p study.Patch) bool {
			return p.ID != f.Patch.ID && study.DefaultProtocol().Derive(*f.Vehicle, p).Ended == ""
		})
		assert.True(t, goOn)
	},
	simulate.SpentWhenSeen: func(t *testing.T, f study.Followed, day study.Day) {
		assert.Equal(t, 1, f.Span.Decided.LeftCensored)
		assert.Zero(t, f.Span.LowerDays)
		assert.Equal(t, service(f, day), f.Span.UpperDays)
	},
	simulate.SpentWhenJoined: func(t *testing.T, f study.Followed, _ study.Day) {
		assert.Equal(t, 1, f.Span.Decided.NeverHeld)
		assert.False(t, f.Span.Known)
	},
}

func wantPending(t *testing.T, f study.Followed, day study.Day) {
	assert.Equal(t, 1, f.Span.Decided.Pending)
	assert.Equal(t, study.Doubtful, f.Span.Standing)
	assert.False(t, f.Span.Spent())
	assert.Less(t, f.Span.LowerDays, service(f, day))
}

func wantUnread(t *testing.T, f study.Followed, _ study.Day) {
	assert.Equal(t, study.Unread, f.Span.Standing)
	assert.Equal(t, 1, f.Span.Decided.NeverConclusive)
	assert.False(t, f.Span.Known)
}

// service counts the days of service up to a day.
func service(f study.Followed, day study.Day) float64 {
	return float64(day - f.Patch.InService())
}

func readDemo(t *testing.T) study.Fleet {
	t.Helper()
	fleet, err := ingest.ReadLogFS(t.Context(), testdata.Demo(), ingest.Options{Today: study.DayOf(2026, 11, 1)})
	require.NoError(t, err)
	return fleet
}
