package exposure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/climate"
)

// A recorded count of freeze-thaw days goes before the model's; its months are
// the model's, or all alike where that knows none.
func TestRecordedFreezeThaw(t *testing.T) {
	s := winters()
	model := newTestSite(t, s)
	s.FreezeThawDaysYear = new(95.0)
	v, p := washed()
	recorded := newTestSite(t, s).Patch(v, p, DefaultShelter())
	assert.InDelta(t, 95, *recorded.Yearly().FreezeThawDays, 1e-9)
	january := recorded.Between(study.DayOf(2025, 1, 1), study.DayOf(2025, 2, 1))
	assert.InDelta(t, 95**model.Climate.Months[0].FreezeThawDays / *model.Climate.Year.FreezeThawDays, *january.FreezeThawDays, 1e-9)
	july := recorded.Between(study.DayOf(2025, 7, 1), study.DayOf(2025, 8, 1))
	assert.Less(t, *july.FreezeThawDays, 0.1)

	s.MeanTempC = nil
	even := newTestSite(t, s).Patch(v, p, DefaultShelter())
	july = even.Between(study.DayOf(2025, 7, 1), study.DayOf(2025, 8, 1))
	assert.InDelta(t, 95.0/12, *july.FreezeThawDays, 1e-9)
	assert.Empty(t, even.Why(FreezeThaw))
	assert.NotEmpty(t, even.Why(Heat))
}

// The maps know temperatures where the record doesn't.
func TestAtlasFillsTemperatures(t *testing.T) {
	atlas, err := climate.OpenAtlas()
	require.NoError(t, err)
	known, bare := winters(), winters()
	bare.ID, bare.MeanTempC = study.NewID(), nil
	sea := winters()
	sea.ID, sea.MeanTempC, sea.LatitudeDeg, sea.LongitudeDeg = study.NewID(), nil, 30, -40
	sites, err := NewSites([]study.Site{known, bare, sea}, atlas, climate.DefaultAssumptions())
	require.NoError(t, err)
	assert.Equal(t, known.MeanTempC, sites.Of(known.ID).Climate.Normals.MeanTempC.Slice())
	spot, err := atlas.At(bare.LatitudeDeg, bare.LongitudeDeg)
	require.NoError(t, err)
	assert.Equal(t, spot.MeanTempC, *sites.Of(bare.ID).Climate.Normals.MeanTempC)
	assert.Contains(t, sites.Of(bare.ID).Climate.Notes, "Mean temperatures are the map's, of a cell about 55 km wide.")
	assert.NotContains(t, sites.Of(known.ID).Climate.Notes, "Mean temperatures are the map's, of a cell about 55 km wide.")
	v, p := washed()
	assert.NotEmpty(t, sites.Of(sea.ID).Patch(v, p, DefaultShelter()).Why(Heat))
}

// A place without frost has no freeze-thaw days, which is known and not
// unknown.
func TestNoFrost(t *testing.T) {
	s := winters()
	s.LatitudeDeg, s.MeanTempC = 25.1, []float64{19.5, 20.5, 23, 27, 31.5, 34, 35.5, 36, 33.5, 30, 25.5, 21.5}
	s.FreezeThawDaysYear = new(0.0)
	v, p := washed()
	year := newTestSite(t, s).Patch(v, p, DefaultShelter()).Yearly()
	assert.Zero(t, *year.FreezeThawDays)
	assert.Zero(t, *year.SaltDays)
}

// BenchmarkFleet takes 16,000 vehicles with two patches and 60 visits each, and
// the load of each patch from each visit to the next.
func BenchmarkFleet(b *testing.B) {
	const vehicles, visits = 16_000, 60
	site := newTestSite(b, winters())
	v, _ := washed()
	v.Patches = append(v.Patches, v.Patches[0])
	v.Patches[1].ID = study.NewID()
	for i := range visits {
		day := v.Patches[0].InService() + study.Day(15*i)
		v.Care = append(v.Care, study.Care{Day: day, Kind: study.MaintenanceWash})
		v.Checkups = append(v.Checkups, study.Checkup{Day: day, Readings: []study.Reading{
			{PatchID: v.Patches[0].ID, Stage: study.Washed}, {PatchID: v.Patches[1].ID, Stage: study.Washed},
		}})
	}
	for b.Loop() {
		for range vehicles {
			for i := range v.Patches {
				e := site.Patch(v, &v.Patches[i], DefaultShelter())
				for visit := 1; visit < visits; visit++ {
					e.Between(v.Checkups[visit-1].Day, v.Checkups[visit].Day)
				}
			}
		}
	}
}
