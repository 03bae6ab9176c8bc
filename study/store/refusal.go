package store

import (
	"errors"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"beadspan/study"
)

// explain turns what the database refused, by the name of the constraint, into
// study.Problems that a person can act on. Other errors stay as they are.
func explain(err error) error {
	var refused *pgconn.PgError
	if !errors.As(err, &refused) {
		return err
	}
	p, known := refusals[refused.ConstraintName]
	if !known {
		return err
	}
	return study.Problems{p}
}

// orNotFound says that no row means no record. Nor is there one of a name that
// no record could have.
func orNotFound(err error) error {
	if errors.Is(err, pgx.ErrNoRows) || isNoText(err) {
		return study.ErrNotFound
	}
	return err
}

// isNoText reports whether the database refused a text that it can't hold: with
// a zero byte in it, or not UTF-8.
func isNoText(err error) bool {
	var refused *pgconn.PgError
	return errors.As(err, &refused) && refused.Code == "22021" // character_not_in_repertoire
}

const (
	wantCode        = "expected a code of 1 to 40 letters, digits and . _ / - without spaces, starting with a letter or digit"
	wantAccountName = "expected 1 to 100 characters without spaces"
	wantDay         = "expected a date from 0001-01-01 to 9999-12-31"
	wantPerson      = "no such person is stored"
	wantVehicle     = "no such vehicle is stored"
	wantPatch       = "the vehicle has no such patch"
	wantEvery       = "expected 7 to 1000 days, or 0 for never"
	wantAgain       = "somebody else stored the same record at the same moment: load again"
)

// refusals says for each constraint that data can break which field it is
// about and what it wants.
var refusals = map[string]study.Problem{
	"study_key":       {Column: "id", Want: "this study is stored already"},
	"study_code_key":  {Column: "code", Want: "another study has this code"},
	"study_code":      {Column: "code", Want: wantCode},
	"study_metric":    {Column: "metric", Want: "expected one of angle, sheet_time, wet_share, bead_grade"},
	"study_threshold": {Column: "threshold", Want: "expected 0 to 180 degrees, 0 to 3600 seconds, 0 to 100 % or grade 1 to 5, as the metric has it"},
	"study_confirm":   {Column: "confirm", Want: "expected 1, 2 or 3 fails in a row"},
	"study_estimand":  {Column: "estimand", Want: "expected one of to_topper, as_maintained"},

	"study_claim_low_pct":        {Column: "claim_low_pct", Want: "expected 1 to 99 %"},
	"study_claim_high_pct":       {Column: "claim_high_pct", Want: "expected 1 to 99 %"},
	"study_claim_order":          {Column: "claim_high_pct", Want: "expected no more than claim_low_pct: fewer outlast the higher end than the lower"},
	"study_claim_confidence_pct": {Column: "claim_confidence_pct", Want: "expected 80 to 99 %"},

	"study_wash_every_days":       {Column: "wash_days", Want: wantEvery},
	"study_iron_every_days":       {Column: "iron_days", Want: wantEvery},
	"study_decon_every_days":      {Column: "decon_days", Want: wantEvery},
	"study_salt_decon_every_days": {Column: "salt_decon_days", Want: wantEvery},
	"study_checkup_every_days":    {Column: "checkup_days", Want: wantEvery},

	"letterhead_key":      {Column: "shop", Want: wantAgain},
	"letterhead_study":    {Column: "study", Want: "no such study is stored"},
	"letterhead_name":     {Column: "name", Want: "expected 100 characters or fewer, on one line"},
	"letterhead_logo_png": {Column: "logo", Want: "expected a picture of 1 MB or less"},

	"study_change_key":     {Column: "id", Want: wantAgain},
	"study_change_study":   {Column: "study", Want: "no such study is stored"},
	"study_change_account": {Column: "account", Want: "no such account is stored"},
	"study_change_why":     {Column: "why", Want: "expected the reason, in a few words"},

	"coating_key":               {Column: "id", Want: wantAgain},
	"coating_code_key":          {Column: "code", Want: wantAgain},
	"coating_code":              {Column: "code", Want: wantCode},
	"coating_claim_low_months":  {Column: "claim_low_months", Want: "expected 0 to 240 months"},
	"coating_claim_high_months": {Column: "claim_high_months", Want: "expected 0 to 240 months"},
	"coating_claim_order":       {Column: "claim_high_months", Want: "expected no less than claim_low_months"},

	"study_coating_key":     {Column: "coating", Want: wantAgain},
	"study_coating_study":   {Column: "study", Want: "no such study is stored"},
	"study_coating_coating": {Column: "coating", Want: "no such coating is stored"},
	"study_shop_key":        {Column: "shop", Want: wantAgain},
	"study_shop_study":      {Column: "study", Want: "no such study is stored"},
	"study_shop_shop":       {Column: "shop", Want: "no such shop is stored"},

	"site_key":                   {Column: "id", Want: wantAgain},
	"site_code_key":              {Column: "code", Want: wantAgain},
	"site_code":                  {Column: "code", Want: wantCode},
	"site_latitude_deg":          {Column: "latitude", Want: "expected -90 to 90 degrees, north positive"},
	"site_longitude_deg":         {Column: "longitude", Want: "expected -180 to 180 degrees, east positive"},
	"site_altitude_m":            {Column: "altitude_m", Want: "expected -430 to 6000 metres"},
	"site_koppen":                {Column: "climate", Want: "expected a Köppen-Geiger class"},
	"site_uv_mj_m2_year":         {Column: "uv_mj_m2_year", Want: "expected 0 to 700 MJ/m² a year"},
	"site_freeze_thaw_days_year": {Column: "freeze_thaw_days_year", Want: "expected 0 to 366 days"},
	"site_mean_temp_c":           {Column: "temp_c_monthly", Want: "expected twelve values of -70 to 50 °C, January first, or none"},
	"site_precipitation_mm":      {Column: "rain_mm_monthly", Want: "expected twelve values of 0 to 5000 mm, January first, or none"},

	"site_max_temp_c":   {Column: "max_c_monthly", Want: "expected twelve values of -70 to 60 °C, January first, or none"},
	"site_min_temp_c":   {Column: "min_c_monthly", Want: "expected twelve values of -80 to 50 °C, January first, or none"},
	"site_temp_pair":    {Column: "max_c_monthly", Want: "expected it with min_c_monthly: give both or neither"},
	"site_sunshine_h":   {Column: "sunshine_h_monthly", Want: "expected twelve values of 0 to 775 hours, January first, or none"},
	"site_cloud_pct":    {Column: "cloud_pct_monthly", Want: "expected twelve values of 0 to 100 %, January first, or none"},
	"site_humidity_pct": {Column: "humidity_pct_monthly", Want: "expected twelve values of 1 to 100 %, January first, or none"},

	"person_key":      {Column: "id", Want: wantAgain},
	"person_code_key": {Column: "operator", Want: wantAgain},
	"person_code":     {Column: "operator", Want: wantCode},

	"account_key":           {Column: "id", Want: wantAgain},
	"account_name_key":      {Column: "name", Want: "somebody else signs in by this name"},
	"account_name":          {Column: "name", Want: wantAccountName},
	"account_password_hash": {Column: "password", Want: "expected a hash by argon2id"},
	"account_operator":      {Column: "operator", Want: wantPerson},
	"membership_key":        {Column: "account", Want: "this account is in the study already"},
	"membership_account":    {Column: "account", Want: "no such account is stored"},
	"membership_study":      {Column: "study", Want: "no such study is stored"},
	"membership_role":       {Column: "role", Want: "expected one of owner, operator, reader"},
	"membership_owner":      {Column: "shops", Want: "an owner has every shop"},

	"shop_key":      {Column: "id", Want: wantAgain},
	"shop_code_key": {Column: "shop", Want: wantAgain},
	"shop_code":     {Column: "shop", Want: wantCode},

	"vehicle_code_key":      {Column: "id", Want: wantAgain},
	"vehicle_code_code_key": {Column: "vehicle", Want: wantAgain},
	"vehicle_code_study":    {Column: "study", Want: "no such study is stored"},
	"vehicle_code_code":     {Column: "vehicle", Want: wantCode},
	"vehicle_key":           {Column: "id", Want: wantAgain},
	"vehicle_vehicle_code":  {Column: "vehicle", Want: wantVehicle},
	"vehicle_site":          {Column: "site", Want: "no such site is stored"},
	"vehicle_shop":          {Column: "shop", Want: "no such shop is stored"},
	"vehicle_enrolled_on":   {Column: "enrolled", Want: wantDay},
	"vehicle_garage":        {Column: "garage", Want: "expected one of indoors, carport, outdoors, or nothing"},
	"vehicle_km_per_year":   {Column: "km_per_year", Want: "expected 0 to 500000 kilometres"},

	"patch_key":                {Column: "id", Want: wantAgain},
	"patch_code_key":           {Column: "patch", Want: wantAgain},
	"patch_vehicle":            {Column: "vehicle", Want: wantVehicle},
	"patch_coating":            {Column: "coating", Want: "no such coating is stored"},
	"patch_code":               {Column: "patch", Want: wantCode},
	"patch_panel":              {Column: "panel", Want: "expected the panel, such as bonnet or left door"},
	"patch_orientation":        {Column: "orientation", Want: "expected one of horizontal, vertical"},
	"patch_substrate":          {Column: "substrate", Want: "expected one of paint, film, wrap"},
	"patch_finish":             {Column: "finish", Want: "expected one of gloss, satin, matte"},
	"patch_applied_on":         {Column: "applied", Want: wantDay},
	"patch_layers":             {Column: "layers", Want: "expected 1 to 10 layers"},
	"patch_layer_interval_h":   {Column: "layer_interval_h", Want: "expected 0 to 240 hours"},
	"patch_flash_s":            {Column: "flash_s", Want: "expected 0 to 3600 seconds"},
	"patch_air_temp_c":         {Column: "air_temp_c", Want: "expected -20 to 60 °C"},
	"patch_humidity_pct":       {Column: "humidity_pct", Want: "expected 0 to 100 %"},
	"patch_prep_alcohol_pct":   {Column: "prep_alcohol_pct", Want: "expected 0 to 100 %"},
	"patch_keep_dry_h":         {Column: "keep_dry_h", Want: "expected 0 to 336 hours"},
	"patch_days_to_first_wash": {Column: "days_to_first_wash", Want: "expected 0 to 365 days"},

	"checkup_key":        {Column: "id", Want: wantAgain},
	"checkup_day_key":    {Column: "date", Want: wantAgain},
	"checkup_vehicle":    {Column: "vehicle", Want: wantVehicle},
	"checkup_operator":   {Column: "operator", Want: wantPerson},
	"checkup_checked_on": {Column: "date", Want: wantDay},

	"reading_key":           {Column: "id", Want: wantAgain},
	"reading_checkup":       {Column: "checkup", Want: "the vehicle has no such checkup"},
	"reading_patch":         {Column: "patch", Want: wantPatch},
	"reading_stage":         {Column: "stage", Want: "expected one of arrival, washed, decon"},
	"reading_angles_deg":    {Column: "angles_deg", Want: "expected 20 drops or fewer, each 0 to 180 degrees"},
	"reading_sheet_time_s":  {Column: "sheet_time_s", Want: "expected 0 to 3600 seconds"},
	"reading_wet_share_pct": {Column: "wet_share_pct", Want: "expected 0 to 100 %"},
	"reading_bead_grade":    {Column: "bead_grade", Want: "expected a grade from 1 (closed sheet) to 5 (round drops)"},
	"reading_measured":      {Want: "nothing was measured: expected a drop angle, a sheet time, a wet share or a bead grade"},

	"photo_key":        {Column: "id", Want: wantAgain},
	"photo_patch":      {Column: "patch", Want: wantPatch},
	"photo_account":    {Column: "account", Want: "no such account is stored"},
	"photo_removed_by": {Column: "account", Want: "no such account is stored"},
	"photo_taken_on":   {Column: "day", Want: wantDay},
	"photo_stage":      {Column: "stage", Want: "expected one of arrival, washed, decon"},
	"photo_hash":       {Column: "photo", Want: "expected a SHA-256"},
	"photo_size":       {Column: "photo", Want: "expected 1600 pixels or less each way"},
	"photo_large":      {Column: "photo", Want: "expected a picture of 1 MB or less"},
	"photo_small":      {Column: "photo", Want: "expected a small picture of 100 kB or less"},
	"photo_removed":    {Column: "why", Want: "expected the reason, in a few words"},

	"care_key":      {Column: "id", Want: wantAgain},
	"care_day_key":  {Column: "date", Want: wantAgain},
	"care_vehicle":  {Column: "vehicle", Want: wantVehicle},
	"care_patch":    {Column: "patch", Want: wantPatch},
	"care_operator": {Column: "operator", Want: wantPerson},
	"care_done_on":  {Column: "date", Want: wantDay},
	"care_kind":     {Column: "kind", Want: "expected a kind of care, such as maintenance_wash or topper"},
}
