package ingest

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// Whatever study says is wrong with a record, it names a column of the log.
func TestColumnsBearTheNamesThatStudyUses(t *testing.T) {
	names := map[string]bool{}
	for _, c := range Columns() {
		names[c.Table+" "+c.Name] = true
	}
	x, n := -1e9, -1
	normals := []float64{1}
	for table, found := range map[string]study.Problems{
		"coatings": study.Coating{ClaimLowMonths: &x, ClaimHighMonths: &x}.Validate(),
		"sites": study.Site{LatitudeDeg: x, LongitudeDeg: x, AltitudeM: &x, UVMJm2Year: &x, FreezeThawDaysYear: &x,
			MeanTempC: normals, PrecipitationMM: normals, MaxTempC: normals, MinTempC: normals, SunshineH: normals,
			CloudPct: normals, HumidityPct: normals}.Validate(),
		"vehicles": study.Vehicle{Garage: "tent", KmPerYear: &x}.Validate(),
		"patches": study.Patch{Job: study.Job{Layers: &n, LayerIntervalH: &x, FlashS: &x, AirTempC: &x, HumidityPct: &x,
			PrepAlcoholPct: &x, KeepDryH: &x, DaysToFirstWash: &x}}.Validate(),
		"checkups": append(study.Reading{AnglesDeg: []float64{x, x}, SheetTimeS: &x, WetSharePct: &x, BeadGrade: &n}.Validate(),
			study.Person{}.Validate()...),
		"care": study.Care{}.Validate(),
	} {
		require.NotEmpty(t, found)
		for _, p := range found {
			assert.True(t, names[table+" "+p.Column], "%s: %q", table, p.Column)
		}
	}
}

// And so does whatever it warns of.
func TestWarningsBearTheNamesOfColumns(t *testing.T) {
	names := map[string]bool{}
	for _, c := range Columns() {
		names[c.Table+" "+c.Name] = true
	}
	high, low := 1000.0, 0.0
	patch := study.Patch{Substrate: study.Film, Job: study.Job{Layers: new(3), LayerIntervalH: &high, FlashS: &low, AirTempC: &high,
		HumidityPct: &high, PrepAlcoholPct: &low, KeepDryH: &low, DaysToFirstWash: &low}}
	v := study.Vehicle{Patches: []study.Patch{patch}}
	jobs := patch.Job.Warnings()
	assert.Len(t, jobs, 8)
	for _, w := range jobs {
		assert.True(t, names["patches "+w.Column], w.Column)
	}
	for _, kind := range []study.CareKind{study.Clay, study.DeconWash} {
		care := v.WarningsOf(study.Care{Kind: kind, Day: 1})
		require.Len(t, care, 1)
		assert.True(t, names["care "+care[0].Column], care[0].Column)
	}
}

func TestColumnsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Columns() {
		key := c.Table + " " + c.Name
		assert.False(t, seen[key], key)
		seen[key] = true
		assert.Contains(t, Tables(), c.Table)
		assert.Equal(t, c.Name, folded(c.Name))
		assert.NotEmpty(t, c.Meaning, key)
		assert.NotEmpty(t, c.Example, key)
		assert.NotEmpty(t, c.Kind, key)
		if c.Kind == Word {
			assert.Contains(t, c.Allowed, c.Example, key)
		}
	}
}

func TestWriteColumns(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, WriteColumns(&out))
	for _, line := range []string{"\nvehicles\n", "\ncare (may be absent)\n", "  latitude*", "angle_1_deg … angle_20_deg", "indoors carport outdoors"} {
		assert.Contains(t, out.String(), line)
	}
	assert.NotContains(t, out.String(), "angle_2_deg ")
}

func TestWriteColumnsJSON(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, WriteColumnsJSON(&out))
	var schema struct {
		Properties map[string]struct {
			Items struct {
				Required   []string
				Properties map[string]struct {
					Type, Format, Unit string
					Enum               []string
					Examples           []any
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &schema))
	sites := schema.Properties["sites"].Items
	assert.Equal(t, []string{"code", "latitude", "longitude", "climate"}, sites.Required)
	assert.Equal(t, "number", sites.Properties["latitude"].Type)
	assert.Equal(t, "degrees", sites.Properties["latitude"].Unit)
	assert.Equal(t, []any{51.9}, sites.Properties["latitude"].Examples)
	assert.Equal(t, study.KoppenClasses(), sites.Properties["climate"].Enum)
	vehicles := schema.Properties["vehicles"].Items.Properties
	assert.Equal(t, "date", vehicles["enrolled"].Format)
	assert.Len(t, schema.Properties, len(Tables()))
}
