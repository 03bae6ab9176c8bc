package store_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// loadWhole loads a fleet that is known to be whole: its blanks correct what is
// stored.
func loadWhole(t testing.TB, s *store.Store, st study.Study, f study.Fleet) store.Loaded {
	t.Helper()
	loaded, err := s.LoadAs(t.Context(), st.ID, f, store.Loading{BlanksCorrect: true})
	require.NoError(t, err)
	return loaded
}

// bare is the fleet as a log has it that knows nothing but what it must.
func bare(f study.Fleet) study.Fleet {
	f = rewritten(f, func(*study.ID) {})
	for i, c := range f.Coatings {
		f.Coatings[i] = study.Coating{ID: c.ID, Code: c.Code, Control: c.Control}
	}
	for i, x := range f.Sites {
		f.Sites[i] = study.Site{ID: x.ID, Code: x.Code, LatitudeDeg: x.LatitudeDeg, LongitudeDeg: x.LongitudeDeg, Koppen: x.Koppen}
	}
	for i := range f.Vehicles {
		v := &f.Vehicles[i]
		v.Garage, v.KmPerYear, v.Note = study.GarageUnknown, nil, ""
		for j := range v.Patches {
			v.Patches[j].Job, v.Patches[j].Note = study.Job{}, ""
		}
		for j := range v.Checkups {
			v.Checkups[j].Note = ""
			for k := range v.Checkups[j].Readings {
				bareReading(&v.Checkups[j].Readings[k])
			}
		}
		for j := range v.Care {
			v.Care[j].OperatorID, v.Care[j].Note = nil, ""
		}
	}
	return f
}

// bareReading leaves one measurement, since a reading without any is none.
func bareReading(r *study.Reading) {
	r.Note = ""
	switch {
	case r.WetSharePct != nil:
		r.AnglesDeg, r.SheetTimeS, r.BeadGrade = nil, nil, nil
	case r.SheetTimeS != nil:
		r.AnglesDeg, r.BeadGrade = nil, nil
	case r.BeadGrade != nil:
		r.AnglesDeg = nil
	}
}

// TestBlanksSayNothing: a log that doesn't know a thing is no correction of it,
// whatever the record.
func TestBlanksSayNothing(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	f.Vehicles[0].Checkups[0].Readings[2].AnglesDeg = []float64{99, 98.5}
	load(t, s, st, f)

	assert.Equal(t, store.Loaded{Unchanged: f.Size()}, load(t, s, st, bare(f)))
	assert.Equal(t, f, fleetOf(t, s, st))
	assert.Empty(t, proposed(t, s, st))

	whole := loadWhole(t, s, st, bare(f))
	n := f.Size()
	assert.Equal(t, 9, whole.Proposed, "2 coatings, 1 site, 1 vehicle, 1 patch, 1 checkup, 2 readings, 1 care: %+v", n)
}

// A blank that is stored is filled by whoever knows better.
func TestWhatIsSaidFillsBlanks(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, bare(f))
	filled := load(t, s, st, f)
	assert.Equal(t, 8, filled.Proposed)
	for _, a := range proposed(t, s, st) {
		require.NoError(t, s.Accept(t.Context(), a.ID, "LEAD", ""))
	}
	assert.Equal(t, f, fleetOf(t, s, st))
}

// Next to what it leaves blank, a log may say something else of the same
// record: only that is proposed.
func TestBlanksBesideACorrection(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	load(t, s, st, f)
	other := bare(f)
	other.Sites[0].Koppen, other.Sites[0].Name = "Dfb", "Hafen"
	assert.Equal(t, 1, load(t, s, st, other).Proposed)
	assert.Equal(t, []study.Change{
		{Field: "koppen", Before: "Cfb", After: "Dfb"},
		{Field: "name", Before: "Küste", After: "Hafen"},
	}, proposed(t, s, st)[0].Changes)
}

// A site that was added with all its normals stays whole when a log names it
// by position and class alone.
func TestLogKeepsSiteOfHand(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	whole := f.Sites[0]
	whole.MaxTempC = []float64{4, 5, 9, 13, 17, 20, 22, 22, 18, 14, 9, 2}
	whole.MinTempC = []float64{-1, -1, 1, 5, 9, 12, 14, 13, 10, 6, 1, -6}
	whole.SunshineH = []float64{50, 70, 120, 170, 210, 210, 200, 190, 140, 100, 60, 40}
	whole.CloudPct = []float64{75, 70, 65, 60, 60, 60, 60, 60, 60, 65, 75, 80}
	whole.HumidityPct = []float64{88, 85, 80, 75, 73, 74, 75, 76, 80, 84, 88, 89}
	_, err := s.AddSite(t.Context(), whole)
	require.NoError(t, err)

	loaded := load(t, s, st, bare(f))
	assert.Zero(t, loaded.Proposed)
	stored, err := s.SiteByCode(t.Context(), whole.Code)
	require.NoError(t, err)
	assert.Equal(t, whole, stored)
}
