package reports

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/study"
)

// claimWorld is coated vehicles of which the truth is known: a share of atLow of
// all patches outlasts 12 months, and of atHigh 24. Lives are Weibull, and two on
// one vehicle have normal scores with a correlation of 0.4.
type claimWorld struct {
	atLow, atHigh float64
}

// lasts is how many months a patch holds that is outlasted by a share of all.
func (w claimWorld) lasts(share float64) float64 {
	shape := math.Log2(math.Log(w.atHigh) / math.Log(w.atLow))
	return 12 * math.Pow(math.Log(share)/math.Log(w.atLow), 1/shape)
}

// vehicle is what is known of a new vehicle's one to three patches when it is
// looked at every month and a half to three, and one in ten is lost sight of on
// the way to the end; of those that join late, one in ten, patches that had been
// spent before are not in the study.
func (w claimWorld) vehicle(draw *rand.Rand, months float64) []study.Followed {
	between := func(low, high float64) float64 { return low + (high-low)*draw.Float64() }
	v := &study.Vehicle{ID: study.NewID()}
	end, entry := months, 0.0
	if draw.Float64() < 0.1 {
		end = between(0, months)
	}
	if draw.Float64() < 0.1 {
		entry = between(3, 8)
	}
	var visits []float64
	for m := entry + between(1.5, 3); m <= end; m += between(1.5, 3) {
		visits = append(visits, math.Round(m*study.DaysPerMonth))
	}
	entry = math.Round(entry * study.DaysPerMonth)
	shared := draw.NormFloat64()
	var patches []study.Followed
	for range 1 + draw.IntN(3) {
		score := math.Sqrt(0.4)*shared + math.Sqrt(0.6)*draw.NormFloat64()
		life := w.lasts(distuv.UnitNormal.Survival(score)) * study.DaysPerMonth
		if life <= entry {
			continue
		}
		s := study.Span{Known: true, EntryDays: entry, LowerDays: entry, UpperDays: math.Inf(1)}
		for _, day := range visits {
			if day >= life {
				s.UpperDays = day
				break
			}
			s.LowerDays = day
		}
		patches = append(patches, study.Followed{Vehicle: v, Patch: &study.Patch{}, Coating: study.Coating{Code: "A"}, Span: s})
	}
	return patches
}

// fleet is so many vehicles taken in over eleven months of thirty, as in the
// demo.
func (w claimWorld) fleet(draw *rand.Rand, vehicles int) (fleet []study.Followed) {
	for range vehicles {
		fleet = append(fleet, w.vehicle(draw, 30-11*draw.Float64())...)
	}
	return fleet
}

// judged is the verdict on a coating of which 12 to 24 months are claimed, or
// one end of that only.
func judged(t testing.TB, fleet []study.Followed, seed uint64, ends ...End) *ClaimRow {
	t.Helper()
	coating := study.Coating{Code: "A"}
	for _, end := range ends {
		if end == LowEnd {
			coating.ClaimLowMonths = new(12.0)
		} else {
			coating.ClaimHighMonths = new(24.0)
		}
	}
	o := ClaimOptions{Rule: study.DefaultClaimRule(), BootstrapReplicates: 199, Seed: seed}
	plan, err := planLife(fleet, o.life(ByCoating))
	require.NoError(t, err)
	rows, err := plan.rows(t.Context(), newTally(nil))
	require.NoError(t, err)
	members := plan.members[rows[0].Group]
	c := &Claims{Rule: o.Rule}
	row, err := c.judge(t.Context(), coating, claimGroup{newSample(members), members, rows[0], plan.options})
	require.NoError(t, err)
	return row
}

// The worlds have the truth that they claim, to four standard errors.
func TestClaimWorlds(t *testing.T) {
	t.Parallel()
	w := claimWorld{0.8, 0.1}
	draw := rand.New(rand.NewPCG(1, 7))
	const n = 100_000
	var at12, at24 float64
	for range n {
		life := w.lasts(distuv.UnitNormal.Survival(draw.NormFloat64()))
		at12 += float64(one(life > 12)) / n
		at24 += float64(one(life > 24)) / n
	}
	assert.InDelta(t, 0.8, at12, 4*math.Sqrt(0.8*0.2/n))
	assert.InDelta(t, 0.1, at24, 4*math.Sqrt(0.1*0.9/n))
}

// BenchmarkClaims counts verdicts, in per cent of 500 fleets, where the truth
// lies exactly at the rule: at the lower end alone, at the higher alone, and at
// both. It takes minutes, so it must be asked for by -benchtime 1x.
//
// Wanted is a false "supported" in 5 % at most, and a false "contradicted" as well
// (standard error 1 %). Found in November 2026, supported and contradicted:
//
//	vehicles  lower end   higher end   both
//	      15  0.4   0.0   0.0   0.0   0.0   0.0
//	      30  1.2   0.4   0.2   0.0   0.0   0.4
//	      60  2.4   0.2   0.2   1.2   0.0   1.4
func BenchmarkClaims(b *testing.B) {
	askedFor(b)
	for _, vehicles := range []int{15, 30, 60, 120} {
		for name, ends := range map[string][]End{"low": {LowEnd}, "high": {HighEnd}, "both": {LowEnd, HighEnd}} {
			b.Run(fmt.Sprintf("%d-%s", vehicles, name), func(b *testing.B) {
				const fleets = 500
				for b.Loop() {
					n := map[study.Verdict]int{}
					for seed := range uint64(fleets) {
						fleet := claimWorld{0.8, 0.1}.fleet(rand.New(rand.NewPCG(seed, 25)), vehicles)
						n[judged(b, fleet, seed, ends...).Verdict]++
					}
					b.ReportMetric(100*float64(n[study.Supported])/fleets, "supported-%")
					b.ReportMetric(100*float64(n[study.Contradicted])/fleets, "contradicted-%")
				}
			})
		}
	}
}

// BenchmarkMoreFollowUp counts how often the follow-up decides that is said to
// be likely to. The truth at 12 months is anything from 55 to 97 % with equal
// chance, and the rule asks for 80 %; of fleets that can't tell and name a
// number, so many vehicles more are followed for 12 months and a visit.
//
// Wanted is about 80 %. Found in November 2026 with 50 vehicles: 57 % of fleets
// couldn't tell, 47 % of these named a number, 340 vehicles on average, and of
// these 77 % were then decided (standard error 4 %), none wrongly.
func BenchmarkMoreFollowUp(b *testing.B) {
	askedFor(b)
	for _, vehicles := range []int{20, 50, 100} {
		b.Run(fmt.Sprint(vehicles), func(b *testing.B) {
			for b.Loop() {
				const fleets = 400
				var undecided, named, decided, wrong, more float64
				for seed := range uint64(fleets) {
					draw := rand.New(rand.NewPCG(seed, 26))
					w := claimWorld{atLow: 0.55 + 0.42*draw.Float64()}
					w.atHigh = math.Pow(w.atLow, 8)
					fleet := w.fleet(draw, vehicles)
					row := judged(b, fleet, seed, LowEnd)
					if row.Verdict != study.CannotTell {
						continue
					}
					undecided++
					if row.More == nil {
						continue
					}
					named++
					more += float64(row.More.Vehicles)
					for range row.More.Vehicles {
						fleet = append(fleet, w.vehicle(draw, row.More.Months+3)...)
					}
					verdict := judged(b, fleet, seed, LowEnd).Verdict
					decided += float64(one(verdict != study.CannotTell))
					wrong += float64(one(verdict == study.Supported && w.atLow < 0.8 || verdict == study.Contradicted && w.atLow >= 0.8))
				}
				b.ReportMetric(100*undecided/fleets, "undecided-%")
				b.ReportMetric(100*named/undecided, "named-%")
				b.ReportMetric(100*decided/named, "then-decided-%")
				b.ReportMetric(100*wrong/named, "wrongly-%")
				b.ReportMetric(more/named, "vehicles-more")
			}
		})
	}
}

// askedFor skips what takes minutes unless it is asked for.
func askedFor(b *testing.B) {
	b.Helper()
	if flag.Lookup("test.benchtime").Value.String() != "1x" {
		b.Skip("takes minutes: go test -run '^$' -bench 'Claims|MoreFollowUp' -benchtime 1x -timeout 1h ./reports")
	}
}
