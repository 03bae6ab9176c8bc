package reports

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// joinedFleets joins demo fleets of different seeds under the coatings and sites
// of the first.
func joinedFleets(n int) study.Fleet {
	all := simulate.Fleet(1)
	coatings, sites := map[string]study.ID{}, map[string]study.ID{}
	for _, c := range all.Coatings {
		coatings[c.Code] = c.ID
	}
	for _, s := range all.Sites {
		sites[s.Code] = s.ID
	}
	for seed := uint64(2); len(all.Vehicles) < n; seed++ {
		more := simulate.Fleet(seed)
		code := map[study.ID]string{}
		for _, c := range more.Coatings {
			code[c.ID] = c.Code
		}
		for _, s := range more.Sites {
			code[s.ID] = s.Code
		}
		for _, v := range more.Vehicles {
			v.Code = fmt.Sprintf("%s-%d", v.Code, seed)
			v.SiteID = sites[code[v.SiteID]]
			for i := range v.Patches {
				v.Patches[i].CoatingID = coatings[code[v.Patches[i].CoatingID]]
			}
			all.Vehicles = append(all.Vehicles, v)
		}
	}
	all.Vehicles = all.Vehicles[:n]
	return all
}

// BenchmarkLettersOfSome is the same of a study of 2,000, 50 letters.
func BenchmarkLettersOfSome(b *testing.B) { benchmarkLetters(b, 2_000, 50) }

// BenchmarkLetters writes 500 letters from a study of 20,000 vehicles, the
// study's lives and falls included. Wanted: less than a minute, and less than a
// gigabyte in all.
func BenchmarkLetters(b *testing.B) { benchmarkLetters(b, 20_000, 500) }

func benchmarkLetters(b *testing.B, vehicles, written int) {
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(900 << 20)) // as the command does
	fleet := joinedFleets(vehicles)
	for b.Loop() {
		letters, err := NewLetters(fleet, LetterOptions{
			Study: study.Study{ID: study.NewID(), Code: "large", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()},
			On:    letterDay, Salt: func(study.Site) study.SaltSeason { return study.SaltSeason{} },
			Level: 0.95, BootstrapReplicates: 99, Seed: 1, Version: "test",
		})
		require.NoError(b, err)
		for _, code := range letters.Due()[:written] {
			letter, err := letters.Of(b.Context(), code)
			require.NoError(b, err)
			require.NoError(b, letter.WritePDF(io.Discard, LetterLook{Language: English, Paper: A4, Shop: "Harbour Coating Shop"}))
		}
	}
	var memory runtime.MemStats
	runtime.ReadMemStats(&memory)
	b.ReportMetric(float64(memory.Sys)/(1<<20), "MB")
}
