package reports

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/climate"
	"beadspan/study/exposure"
)

// places are invented sites that differ in sun, frost and heat.
func places() []study.Site {
	site := func(code, class string, latitude, uv, mean, swing float64) study.Site {
		s := study.Site{ID: study.NewID(), Code: code, Koppen: class, LatitudeDeg: latitude, LongitudeDeg: 10, UVMJm2Year: &uv}
		for m := range 12 {
			s.MeanTempC = append(s.MeanTempC, mean-swing*math.Cos(2*math.Pi*float64(m)/12))
		}
		return s
	}
	return []study.Site{
		site("N", "Dfb", 60, 150, 5, 11), site("W", "Cfb", 52, 190, 10, 6), site("S", "Csa", 38, 300, 17, 8),
		site("D", "BWh", 25, 390, 28, 8), site("M", "Dfa", 43, 230, 9, 14),
	}
}

// ageing is a fleet whose patches last until so much of one clock's load has
// been met, log-normal about a middling amount, and are checked every six weeks
// or so.
type ageing struct {
	clock    exposure.Clock
	middling map[string]float64 // by coating, in the clock's unit
	sites    exposure.Sites
	shelter  exposure.Shelter
}

func newAgeing(tb testing.TB, sites []study.Site, clock exposure.Clock, middling map[string]float64) ageing {
	all, err := exposure.NewSites(sites, nil, climate.DefaultAssumptions())
	require.NoError(tb, err)
	return ageing{clock, middling, all, exposure.DefaultShelter()}
}

// fleet draws vehicles for the sites in turn, with a horizontal and a vertical
// patch each.
func (a ageing) fleet(seed uint64, sites []study.Site, vehicles int) study.Fleet {
	random := rand.New(rand.NewPCG(seed, 3))
	fleet := study.Fleet{Sites: sites}
	codes := sortedKeys(a.middling)
	for _, code := range codes {
		fleet.Coatings = append(fleet.Coatings, study.Coating{ID: study.NewID(), Code: code})
	}
	for i := range vehicles {
		begin := serviceBegan + study.Day(random.IntN(300))
		v := study.Vehicle{
			ID: study.NewID(), Code: fmt.Sprintf("V%d", i+1), SiteID: sites[i%len(sites)].ID, Enrolled: begin,
			Garage: study.Garages()[random.IntN(3)], KmPerYear: new(12_000 * math.Exp(0.5*random.NormFloat64())),
		}
		gap := 10 + 40*random.Float64() // days between washes, the driver's habit
		for day := float64(begin); day < float64(begin)+900; day += gap * (0.5 + random.Float64()) {
			v.Care = append(v.Care, study.Care{ID: study.NewID(), Day: study.Day(day) + 1, Kind: study.MaintenanceWash})
		}
		for p, orientation := range study.Orientations() {
			v.Patches = append(v.Patches, study.Patch{
				ID: study.NewID(), Code: fmt.Sprintf("P%d", p+1), CoatingID: fleet.Coatings[random.IntN(len(codes))].ID,
				Orientation: orientation, Substrate: study.Paint, Applied: begin, Job: study.Job{KeepDryH: new(0.0)},
			})
		}
		a.read(random, &fleet, &v)
		fleet.Vehicles = append(fleet.Vehicles, v)
	}
	return fleet
}

// read has the vehicle's patches read until all are spent or two years are over.
func (a ageing) read(random *rand.Rand, fleet *study.Fleet, v *study.Vehicle) {
	driver := 0.12 * random.NormFloat64()
	var lives []float64
	for _, p := range v.Patches {
		for _, c := range fleet.Coatings {
			if c.ID == p.CoatingID {
				lives = append(lives, a.middling[c.Code]*math.Exp(driver+0.2*random.NormFloat64()))
			}
		}
	}
	for days := 5; days < 730; days += 30 + random.IntN(30) {
		c := study.Checkup{ID: study.NewID(), Day: v.Enrolled + study.Day(days)}
		for i := range v.Patches {
			met, _ := a.sites.Of(v.SiteID).Patch(v, &v.Patches[i], a.shelter).Since(a.clock, float64(days))
			angle := 105.0
			if met >= lives[i] {
				angle = 80
			}
			c.Readings = append(c.Readings, study.Reading{PatchID: v.Patches[i].ID, Stage: study.Decon, AnglesDeg: []float64{angle}})
		}
		v.Checkups = append(v.Checkups, c)
	}
}

// middlings are lives of about a year on each clock.
func middlings() map[exposure.Clock]map[string]float64 {
	return map[exposure.Clock]map[string]float64{
		exposure.Months: {"A": 10, "B": 14},
		exposure.UV:     {"A": 110, "B": 150},
		exposure.Washes: {"A": 12, "B": 17},
		exposure.Heat:   {"A": 130, "B": 190},
		exposure.Km:     {"A": 10_000, "B": 14_000},
	}
}

// clockTally counts over fleets what became of the clock by which they aged.
type clockTally struct{ fleets, best, kept, alone int }

func tallyClocks(tb testing.TB, clock exposure.Clock, fleets, vehicles int) clockTally {
	sites := places()
	a := newAgeing(tb, sites, clock, middlings()[clock])
	var t clockTally
	for seed := range fleets {
		fleet := a.fleet(uint64(seed), sites, vehicles)
		c, err := NewClocks(tb.Context(), fleet.Follow(atOnce()), a.sites, DefaultClockOptions())
		require.NoError(tb, err)
		t.fleets++
		good, _ := c.sorted()
		for _, row := range good {
			t.kept += one(row.Clock == clock)
		}
		t.best += one(c.Rows[0].Clock == clock)
		t.alone += one(len(good) == 1 && c.Rows[0].Clock == clock)
	}
	return t
}

// The clock by which a fleet aged is found, whichever it is, and never called
// worse than another.
func TestTheClockIsFound(t *testing.T) {
	for _, clock := range clockChoice() {
		if middlings()[clock] == nil {
			continue // in sites without frost nothing could age by freeze-thaw days
		}
		const fleets = 3
		c := tallyClocks(t, clock, fleets, 50)
		assert.Equal(t, fleets, c.kept, clock)
		assert.Equal(t, fleets, c.best, clock)
	}
}

// Where all vehicles are in the sun alike, its dose runs with the calendar but
// for the seasons, and a few vehicles can't tell the two apart.
func TestClocksThatCannotBeTold(t *testing.T) {
	sites := places()[:1]
	a := newAgeing(t, sites, exposure.Months, middlings()[exposure.Months])
	fleet := a.fleet(1, sites, 20)
	for i := range fleet.Vehicles {
		v := &fleet.Vehicles[i]
		v.Garage, v.KmPerYear = study.Outdoors, new(12_000.0)
		v.Patches[1].Orientation = v.Patches[0].Orientation
	}
	c, err := NewClocks(t.Context(), fleet.Follow(atOnce()), a.sites, DefaultClockOptions())
	require.NoError(t, err)
	for _, clock := range []exposure.Clock{exposure.Months, exposure.UV, exposure.Km} {
		assert.True(t, c.Row(clock).AsGood, clock)
	}
	assert.Contains(t, c.Sentence(), "can’t tell")
}

// BenchmarkClockIsFound counts over fleets of 8 and of 40 vehicles how often
// the clock by which they aged comes out best, is kept among those that may be
// the best (which it should be in 95 of 100), and is told from all others: run
// it with -benchtime 1x. It takes a minute.
func BenchmarkClockIsFound(b *testing.B) {
	for _, vehicles := range []int{8, 40} {
		for _, clock := range clockChoice() {
			if middlings()[clock] == nil {
				continue
			}
			b.Run(fmt.Sprintf("%s/%d", clock, vehicles), func(b *testing.B) {
				for b.Loop() {
					c := tallyClocks(b, clock, 40, vehicles)
					b.ReportMetric(float64(c.best)/float64(c.fleets), "best")
					b.ReportMetric(float64(c.kept)/float64(c.fleets), "kept")
					b.ReportMetric(float64(c.alone)/float64(c.fleets), "told-apart")
				}
			})
		}
	}
}
