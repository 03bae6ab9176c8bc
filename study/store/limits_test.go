package store_test

import (
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// refused tries a statement that writes one value, and returns what the store
// would say of it; nil if the database took it.
func refused(t *testing.T, conn *pgx.Conn, sql string, args ...any) study.Problems {
	t.Helper()
	_, err := conn.Exec(t.Context(), sql, args...)
	if err == nil {
		return nil
	}
	var problems study.Problems
	require.ErrorAs(t, store.Explain(err), &problems, "%s %v", sql, args)
	return problems
}

// filled returns a connection to a database that holds the sample.
func filled(t *testing.T) *pgx.Conn {
	t.Helper()
	url := storetest.URL(t)
	s, err := store.Open(t.Context(), url, quiet)
	require.NoError(t, err)
	load(t, s, addStudy(t, s, "S1"), sample())
	s.Close()
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close(t.Context()) })
	return conn
}

// TestLimitsAgree holds the limits that the schema knows against those of
// package study, which were written apart from each other: at each end, just
// past it, and for values that are no numbers.
func TestLimitsAgree(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	f := sample()
	patch, site, vehicle := f.Vehicles[0].Patches[0], f.Sites[0], f.Vehicles[0]
	patched := func(set func(*study.Job, *float64)) func(*float64) study.Problems {
		return func(x *float64) study.Problems { p := patch; set(&p.Job, x); return p.Validate() }
	}
	read := func(set func(*study.Reading, float64)) func(*float64) study.Problems {
		return func(x *float64) study.Problems {
			r := study.Reading{Stage: study.Decon, BeadGrade: new(3)}
			set(&r, *x)
			return r.Validate()
		}
	}
	of := func(m study.Metric) func(*float64) study.Problems {
		return func(x *float64) study.Problems {
			return study.Protocol{Metric: m, Threshold: *x, Confirm: 1, Estimand: study.ToTopper, Claim: study.DefaultClaimRule()}.Validate()
		}
	}
	claim := func(set func(*study.ClaimRule, float64)) func(*float64) study.Problems {
		return func(x *float64) study.Problems {
			r := study.ClaimRule{LowPct: 99, HighPct: 1, ConfidencePct: 95}
			set(&r, *x)
			return r.Validate()
		}
	}
	setSite := func(set func(*study.Site, float64)) func(*float64) study.Problems {
		return func(x *float64) study.Problems { s := site; set(&s, *x); return s.Validate() }
	}
	months := func(x float64) []float64 { return []float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, x} }
	all := func(x float64) []float64 { return slices.Repeat([]float64{x}, 12) }

	for _, c := range []struct {
		set       string // SQL
		low, high float64
		validate  func(*float64) study.Problems
	}{
		{`study SET metric = 'angle', threshold = $1`, 0, 180, of(study.Angle)},
		{`study SET metric = 'sheet_time', threshold = $1`, 0, 3600, of(study.SheetTime)},
		{`study SET metric = 'wet_share', threshold = $1`, 0, 100, of(study.WetShare)},
		{`study SET metric = 'bead_grade', threshold = $1`, 1, 5, of(study.BeadGrade)},
		{`study SET claim_low_pct = $1, claim_high_pct = 1`, 1, 99, claim(func(r *study.ClaimRule, x float64) { r.LowPct = x })},
		{`study SET claim_high_pct = $1, claim_low_pct = 99`, 1, 99, claim(func(r *study.ClaimRule, x float64) { r.HighPct = x })},
		{`study SET claim_confidence_pct = $1`, 80, 99, claim(func(r *study.ClaimRule, x float64) { r.ConfidencePct = x })},
		{`coating SET claim_low_months = $1, claim_high_months = NULL`, 0, 240, func(x *float64) study.Problems {
			return study.Coating{Code: "C", ClaimLowMonths: x}.Validate()
		}},
		{`coating SET claim_high_months = $1, claim_low_months = NULL`, 0, 240, func(x *float64) study.Problems {
			return study.Coating{Code: "C", ClaimHighMonths: x}.Validate()
		}},
		{`site SET latitude_deg = $1`, -90, 90, setSite(func(s *study.Site, x float64) { s.LatitudeDeg = x })},
		{`site SET longitude_deg = $1`, -180, 180, setSite(func(s *study.Site, x float64) { s.LongitudeDeg = x })},
		{`site SET altitude_m = $1`, -430, 6000, setSite(func(s *study.Site, x float64) { s.AltitudeM = &x })},
		{`site SET uv_mj_m2_year = $1`, 0, 700, setSite(func(s *study.Site, x float64) { s.UVMJm2Year = &x })},
		{`site SET freeze_thaw_days_year = $1`, 0, 366, setSite(func(s *study.Site, x float64) { s.FreezeThawDaysYear = &x })},
		{`site SET mean_temp_c = ARRAY[1,1,1,1,1,1,1,1,1,1,1,$1::float8]`, -70, 50, setSite(func(s *study.Site, x float64) { s.MeanTempC = months(x) })},
		{`site SET precipitation_mm = ARRAY[1,1,1,1,1,1,1,1,1,1,1,$1::float8]`, 0, 5000, setSite(func(s *study.Site, x float64) { s.PrecipitationMM = months(x) })},
		{`site SET max_temp_c = array_fill($1::float8, ARRAY[12]), min_temp_c = array_fill(-80::float8, ARRAY[12])`, -70, 60,
			setSite(func(s *study.Site, x float64) { s.MaxTempC, s.MinTempC = all(x), all(-80) })},
		{`site SET min_temp_c = array_fill($1::float8, ARRAY[12]), max_temp_c = array_fill(60::float8, ARRAY[12])`, -80, 50,
			setSite(func(s *study.Site, x float64) { s.MinTempC, s.MaxTempC = all(x), all(60) })},
		{`site SET sunshine_h = ARRAY[1,1,1,1,1,1,1,1,1,1,1,$1::float8]`, 0, 775, setSite(func(s *study.Site, x float64) { s.SunshineH = months(x) })},
		{`site SET cloud_pct = ARRAY[1,1,1,1,1,1,1,1,1,1,1,$1::float8]`, 0, 100, setSite(func(s *study.Site, x float64) { s.CloudPct = months(x) })},
		{`site SET humidity_pct = ARRAY[1,1,1,1,1,1,1,1,1,1,1,$1::float8]`, 1, 100, setSite(func(s *study.Site, x float64) { s.HumidityPct = months(x) })},
		{`vehicle SET km_per_year = $1`, 0, 500_000, func(x *float64) study.Problems {
			vehicle.KmPerYear = x
			return vehicle.Validate()
		}},
		{`patch SET layer_interval_h = $1`, 0, 240, patched(func(j *study.Job, x *float64) { j.LayerIntervalH = x })},
		{`patch SET flash_s = $1`, 0, 3600, patched(func(j *study.Job, x *float64) { j.FlashS = x })},
		{`patch SET air_temp_c = $1`, -20, 60, patched(func(j *study.Job, x *float64) { j.AirTempC = x })},
		{`patch SET humidity_pct = $1`, 0, 100, patched(func(j *study.Job, x *float64) { j.HumidityPct = x })},
		{`patch SET prep_alcohol_pct = $1`, 0, 100, patched(func(j *study.Job, x *float64) { j.PrepAlcoholPct = x })},
		{`patch SET keep_dry_h = $1`, 0, 336, patched(func(j *study.Job, x *float64) { j.KeepDryH = x })},
		{`patch SET days_to_first_wash = $1`, 0, 365, patched(func(j *study.Job, x *float64) { j.DaysToFirstWash = x })},
		{`reading SET angles_deg = ARRAY[90, $1::float8]`, 0, 180, read(func(r *study.Reading, x float64) { r.AnglesDeg = []float64{90, x} })},
		{`reading SET sheet_time_s = $1`, 0, 3600, read(func(r *study.Reading, x float64) { r.SheetTimeS = &x })},
		{`reading SET wet_share_pct = $1`, 0, 100, read(func(r *study.Reading, x float64) { r.WetSharePct = &x })},
	} {
		for _, x := range []float64{c.low, c.high, math.Nextafter(c.low, -inf), math.Nextafter(c.high, inf), math.NaN(), inf, -inf} {
			inside := c.low <= x && x <= c.high
			database := refused(t, conn, `UPDATE `+c.set, x)
			domain := c.validate(&x)
			assert.Equal(t, inside, database == nil, "database, %s, %v", c.set, x)
			assert.Equal(t, inside, domain == nil, "study, %s, %v: %v", c.set, x, domain)
			if !inside && domain != nil && database != nil && domain[0].Column != "angle_2_deg" {
				assert.Equal(t, domain[0].Column, database[0].Column, "both name the same field")
			}
		}
	}
}

var inf = math.Inf(1)

// TestWholeNumbersAgree does the same for counts and grades.
func TestWholeNumbersAgree(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	patch := sample().Vehicles[0].Patches[0]
	for n := -1; n <= 12; n++ {
		patch.Job.Layers = &n
		assert.Equal(t, patch.Validate() == nil, refused(t, conn, `UPDATE patch SET layers = $1`, n) == nil, "%d layers", n)
		grade := study.Reading{Stage: study.Decon, BeadGrade: &n}
		assert.Equal(t, grade.Validate() == nil, refused(t, conn, `UPDATE reading SET bead_grade = $1`, n) == nil, "grade %d", n)
		protocol := study.DefaultProtocol()
		protocol.Confirm = n
		assert.Equal(t, protocol.Validate() == nil, refused(t, conn, `UPDATE study SET confirm = $1`, n) == nil, "confirm %d", n)
	}
	plan := study.DefaultCarePlan()
	for _, n := range []int{6, 7, 1000, 1001} {
		for column, days := range map[string]*int{
			"wash_every_days": &plan.WashDays, "iron_every_days": &plan.IronDays, "decon_every_days": &plan.DeconDays,
			"salt_decon_every_days": &plan.SaltDeconDays, "checkup_every_days": &plan.CheckupDays,
		} {
			before := *days
			*days = n
			assert.Equal(t, plan.Validate() == nil, refused(t, conn, `UPDATE study SET `+column+` = $1`, n) == nil, "%s %d", column, n)
			*days = before
		}
	}
	for n := range 25 {
		months := study.Site{Code: "S", Koppen: "ET", MeanTempC: make([]float64, n)}
		assert.Equal(t, months.Validate() == nil,
			refused(t, conn, `UPDATE site SET mean_temp_c = array_fill(0::float8, ARRAY[$1::int])`, n) == nil, "%d months", n)
		drops := study.Reading{Stage: study.Decon, AnglesDeg: make([]float64, n), WetSharePct: new(1.0)}
		assert.Equal(t, drops.Validate() == nil,
			refused(t, conn, `UPDATE reading SET wet_share_pct = 1, angles_deg = array_fill(0::float8, ARRAY[$1::int])`, n) == nil, "%d drops", n)
	}
}

// TestWordsAgree holds the words of each set against those that the schema
// takes.
func TestWordsAgree(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	for _, c := range []struct {
		set   string // SQL
		known []string
	}{
		{`study SET estimand = $1`, words([]study.Estimand{study.ToTopper, study.AsMaintained})},
		{`study SET threshold = 3, metric = $1`, words(study.Metrics())},
		{`site SET koppen = $1`, study.KoppenClasses()},
		{`vehicle SET garage = $1`, append(words(study.Garages()), string(study.GarageUnknown))},
		{`patch SET orientation = $1`, words(study.Orientations())},
		{`patch SET substrate = $1`, words(study.Substrates())},
		{`patch SET finish = $1`, words(study.Finishes())},
		{`reading SET stage = $1 WHERE bead_grade IS NOT NULL`, words(study.Stages())},
		{`care SET kind = $1`, words(study.CareKinds())},
	} {
		for _, word := range c.known {
			assert.Nil(t, refused(t, conn, `UPDATE `+c.set, word), "%s: %q", c.set, word)
		}
		for _, word := range []string{"other", " decon", "Paint"} {
			assert.NotNil(t, refused(t, conn, `UPDATE `+c.set, word), "%s: %q", c.set, word)
		}
	}
}

func words[T ~string](set []T) []string {
	list := make([]string, len(set))
	for i, w := range set {
		list[i] = string(w)
	}
	return list
}

// TestCodesAgree: the database is laxer than package study only beyond ASCII.
func TestCodesAgree(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	forty := "0123456789012345678901234567890123456789"
	codes := []string{"", "a", "Z9._/-", "9", "é", "日本", "ß-1", forty, forty + "x", "ü" + forty[1:], "ü" + forty}
	for c := range rune(128) {
		codes = append(codes, string(c), "a"+string(c))
	}
	for _, code := range codes {
		if code == "\x00" || code == "a\x00" {
			continue // no text in Postgres; a load refuses it before
		}
		valid := study.Person{Code: code}.Validate() == nil
		taken := refused(t, conn, `UPDATE person SET code = $1 WHERE code = 'KW'`, code) == nil
		assert.Equal(t, valid, taken, "%q", code)
		if taken {
			_, err := conn.Exec(t.Context(), `UPDATE person SET code = 'KW' WHERE code = $1`, code)
			require.NoError(t, err)
		}
	}
}

// TestSchemaRefuses tries what a range doesn't say.
func TestSchemaRefuses(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	for sql, column := range map[string]string{
		`UPDATE study SET claim_low_pct = 20, claim_high_pct = 30`:                      "claim_high_pct",
		`UPDATE coating SET claim_low_months = 24, claim_high_months = 12`:              "claim_high_months",
		`UPDATE reading SET angles_deg = ARRAY[90, NULL]`:                               "angles_deg",
		`UPDATE reading SET angles_deg = ARRAY[[90, 91], [92, 93]]`:                     "angles_deg",
		`UPDATE site SET mean_temp_c = ARRAY[1,1,1,1,1,1,1,1,1,1,1,NULL]`:               "temp_c_monthly",
		`UPDATE site SET mean_temp_c = ARRAY[[1,1,1,1,1,1],[1,1,1,1,1,1]]`:              "temp_c_monthly",
		`UPDATE site SET precipitation_mm = ARRAY[1,1,1,1,1,1,1,1,1,1,1,NULL]`:          "rain_mm_monthly",
		`UPDATE site SET sunshine_h = ARRAY[1,1,1,1,1,1,1,1,1,1,1,NULL]`:                "sunshine_h_monthly",
		`UPDATE site SET max_temp_c = ARRAY[1,1,1,1,1,1,1,1,1,1,1,1]`:                   "max_c_monthly", // without the minimum
		`UPDATE reading SET angles_deg = '{}', wet_share_pct = NULL, bead_grade = NULL`: "",
		`UPDATE patch SET panel = ''`:                                                   "panel",
		`UPDATE patch SET applied_on = 'infinity'`:                                      "applied",
		`UPDATE vehicle SET enrolled_on = '-infinity'`:                                  "enrolled",
		`UPDATE checkup SET checked_on = '10000-01-01'`:                                 "date",
		`UPDATE care SET done_on = '0001-01-01 BC'`:                                     "date",
		`UPDATE patch SET code = 'P1'`:                                                  "patch",
		`UPDATE patch SET coating_id = gen_random_uuid()`:                               "coating",
		`UPDATE vehicle SET site_id = gen_random_uuid()`:                                "site",
		`UPDATE checkup SET operator_id = NULL`:                                         "date", // two on that day
		`UPDATE care SET patch_id = NULL`:                                               "date",
		`UPDATE reading SET checkup_id = gen_random_uuid()`:                             "checkup",
		`UPDATE reading SET patch_id = gen_random_uuid()`:                               "patch",
		`DELETE FROM vehicle`:                                                           "vehicle",
	} {
		problems := refused(t, conn, sql)
		require.Len(t, problems, 1, sql)
		assert.Equal(t, column, problems[0].Column, sql)
	}
}

// unexplained are the tables that only the program fills.
const unexplained = `'schema_version', 'schema_file', 'amendment',
	'invitation', 'session', 'passkey', 'membership_shop', 'api_token', 'share_link', 'letter'`

// Each rule of the schema that data can break has its words for people.
func TestRefusalsAreWhole(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	rows, err := conn.Query(t.Context(), `
		SELECT conname
		FROM pg_constraint c
		JOIN pg_class t ON t.oid = conrelid
		WHERE relnamespace = 'public'::regnamespace AND relname NOT IN (`+unexplained+`)
			AND contype IN ('c', 'p', 'u', 'f')
		UNION
		SELECT i.indexrelid::regclass::text
		FROM pg_index i
		JOIN pg_class t ON t.oid = indrelid
		WHERE relnamespace = 'public'::regnamespace AND relname NOT IN (`+unexplained+`)
			AND indisunique`)
	require.NoError(t, err)
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	require.NoError(t, err)
	assert.ElementsMatch(t, names, slices.Collect(maps.Keys(store.Refusals)))
	for name, p := range store.Refusals {
		assert.NotEmpty(t, p.Want, name)
	}
}
