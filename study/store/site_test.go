package store_test

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

func harbour() study.Site {
	return study.Site{
		ID: study.NewID(), Code: "HARBOUR", Name: "Harbour lane", LatitudeDeg: 53.5, LongitudeDeg: 8.6,
		Koppen: "Cfb", UVMJm2Year: new(150.5), MeanTempC: []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12},
	}
}

func TestAddSite(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	one := study.Size{Sites: 1}

	site := harbour()
	added, err := s.AddSite(t.Context(), site)
	require.NoError(t, err)
	assert.Equal(t, store.Loaded{Added: one}, added)
	stored, err := s.SiteByCode(t.Context(), "HARBOUR")
	require.NoError(t, err)
	assert.Equal(t, site, stored, "what was added comes back whole")

	again := harbour() // under another id, as a second command would
	same, err := s.AddSite(t.Context(), again)
	require.NoError(t, err)
	assert.Equal(t, store.Loaded{Unchanged: one}, same)

	again.Koppen = "Cfa"
	other, err := s.AddSite(t.Context(), again)
	require.NoError(t, err)
	assert.Equal(t, store.Loaded{Proposed: 1}, other)
	stored, err = s.SiteByCode(t.Context(), "HARBOUR")
	require.NoError(t, err)
	assert.Equal(t, site, stored, "nothing is overwritten")
	other, err = s.AddSite(t.Context(), again)
	require.NoError(t, err)
	assert.Equal(t, store.Loaded{ProposedBefore: 1}, other)

	amendments, err := s.Amendments(t.Context(), study.NewID(), study.Proposed)
	require.NoError(t, err)
	require.Len(t, amendments, 1)
	assert.Equal(t, []study.Change{{Field: "koppen", Before: "Cfb", After: "Cfa"}}, amendments[0].Changes)
}

// A vehicle of a log finds the site that was added by hand.
func TestAddedSiteIsTheLogs(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "S1")
	f := sample()
	by := f.Sites[0]
	by.ID = study.NewID()
	_, err := s.AddSite(t.Context(), by)
	require.NoError(t, err)

	loaded := load(t, s, st, f)
	assert.Equal(t, len(f.Sites)-1, loaded.Added.Sites)
	assert.Equal(t, 1, loaded.Unchanged.Sites)
	assert.Zero(t, loaded.Proposed)
}

func TestAddSiteRefuses(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	for name, spoil := range map[string]func(*study.Site){
		"class":    func(x *study.Site) { x.Koppen = "Xyz" },
		"code":     func(x *study.Site) { x.Code = "" },
		"latitude": func(x *study.Site) { x.LatitudeDeg = 91 },
		"id":       func(x *study.Site) { x.ID = study.ID{} },
		"note":     func(x *study.Site) { x.Note = "\x00" },
		"daylight": func(x *study.Site) { x.SunshineH = slices.Repeat([]float64{400}, 12) },
		"months":   func(x *study.Site) { x.CloudPct = []float64{50} },
	} {
		site := harbour()
		spoil(&site)
		_, err := s.AddSite(t.Context(), site)
		var problems study.Problems
		assert.ErrorAs(t, err, &problems, name)
	}
	all, err := s.Sites(t.Context())
	require.NoError(t, err)
	assert.Empty(t, all)
}

// Two people who add the same site at once have one site.
func TestAddSiteAtOnce(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			_, err := s.AddSite(t.Context(), harbour())
			assert.NoError(t, err)
		})
	}
	group.Wait()
	all, err := s.Sites(t.Context())
	require.NoError(t, err)
	assert.Len(t, all, 1)
}

func TestSites(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	for _, code := range []string{"b", "a", "C"} {
		site := harbour()
		site.Code = code
		_, err := s.AddSite(t.Context(), site)
		require.NoError(t, err)
	}
	all, err := s.Sites(t.Context())
	require.NoError(t, err)
	var codes []string
	for _, x := range all {
		codes = append(codes, x.Code)
	}
	assert.Equal(t, []string{"C", "a", "b"}, codes)
	_, err = s.SiteByCode(t.Context(), "none")
	assert.ErrorIs(t, err, study.ErrNotFound)
}
