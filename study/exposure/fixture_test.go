package exposure

import (
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/climate"
)

// winters is a site with frost in some months.
func winters() study.Site {
	return study.Site{
		ID: study.NewID(), Code: "NORTH", LatitudeDeg: 59.9, LongitudeDeg: 10.8, Koppen: "Dfb", UVMJm2Year: new(165.0),
		MeanTempC: []float64{-2, -1, 1, 6, 11.5, 15.5, 17.5, 17.5, 12.5, 7, 2, -1.5},
	}
}

func newTestSite(t testing.TB, s study.Site) *Site {
	t.Helper()
	sites, err := NewSites([]study.Site{s}, nil, climate.DefaultAssumptions())
	require.NoError(t, err)
	return sites.Of(s.ID)
}

// washed is a vehicle kept outdoors with a patch in service from 2024-05-03 on.
func washed(care ...study.Care) (*study.Vehicle, *study.Patch) {
	v := &study.Vehicle{
		ID: study.NewID(), Enrolled: study.DayOf(2024, 5, 1), Garage: study.Outdoors, KmPerYear: new(14_610.0), Care: care,
		Patches: []study.Patch{{
			ID: study.NewID(), Orientation: study.Horizontal, Applied: study.DayOf(2024, 5, 1), Job: study.Job{KeepDryH: new(48.0)},
		}},
	}
	return v, &v.Patches[0]
}
