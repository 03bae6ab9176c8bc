package reports

import "math"

// lifeRecord is a LifeRow as machines read it, in JSON and in CSV: units in
// the key names, nothing where nothing is estimable. Where a time is not
// reached it is missing and the key that ends in _reached is false.
type lifeRecord struct {
	Coating *string `json:"coating"`
	Climate *string `json:"climate"`

	Vehicles      int `json:"n_vehicles"`
	Patches       int `json:"n_patches"`
	Spent         int `json:"n_spent_patches"`
	SpentVehicles int `json:"n_vehicles_with_spent"`
	LeftOut       int `json:"n_patches_left_out"`
	Late          int `json:"n_patches_enrolled_late"`
	LeftCensored  int `json:"n_patches_never_seen_holding"`

	HalfFollowed float64 `json:"half_followed_at_least_months"`
	Longest      float64 `json:"longest_follow_up_months"`

	Median            *float64 `json:"median_life_months"`
	MedianReached     *bool    `json:"median_life_reached"`
	MedianAfter       *float64 `json:"median_life_after_months"`
	MedianBy          *float64 `json:"median_life_by_months"`
	MedianLow         *float64 `json:"median_life_low_months"`
	MedianHigh        *float64 `json:"median_life_high_months"`
	MedianHighReached *bool    `json:"median_life_high_reached"`

	At12     *float64 `json:"share_holding_at_12_months"`
	At12Low  *float64 `json:"share_holding_at_12_months_low"`
	At12High *float64 `json:"share_holding_at_12_months_high"`
	At24     *float64 `json:"share_holding_at_24_months"`
	At24Low  *float64 `json:"share_holding_at_24_months_low"`
	At24High *float64 `json:"share_holding_at_24_months_high"`

	NobodyFailedMonths   *float64 `json:"nobody_failed_at_months"`
	NobodyFailedVehicles *int     `json:"nobody_failed_n_vehicles"`
	NobodyFailedAtLeast  *float64 `json:"nobody_failed_share_at_least"`

	VisitDateMedian *float64 `json:"visit_date_median_months"`
	VisitDateBias   *float64 `json:"visit_date_bias_months"`

	Notes []string `json:"notes"`
}

func (row LifeRow) record() lifeRecord {
	r := lifeRecord{
		Coating:       name(row.Coating),
		Climate:       name(row.Climate),
		Vehicles:      row.Vehicles,
		Patches:       row.Patches,
		Spent:         row.Spent,
		SpentVehicles: row.SpentVehicles,
		LeftOut:       row.LeftOut,
		Late:          row.Late,
		LeftCensored:  row.LeftCensored,
		HalfFollowed:  row.HalfFollowedMonths,
		Longest:       row.LongestMonths,
		Notes:         append([]string{}, row.Notes...), // [] rather than null
	}
	if m := row.Median; m != nil {
		r.Median, r.MedianReached = finite(m.Months), reached(m.Months)
		r.MedianAfter, r.MedianBy = finite(m.Between.Low), finite(m.Between.High)
		if m.Limits != nil {
			r.MedianLow, r.MedianHigh = finite(m.Limits.Low), finite(m.Limits.High)
			r.MedianHighReached = reached(m.Limits.High)
		}
	}
	r.At12, r.At12Low, r.At12High = row.At12.numbers()
	r.At24, r.At24Low, r.At24High = row.At24.numbers()
	if n := row.NobodyFailed; n != nil {
		r.NobodyFailedMonths, r.NobodyFailedVehicles, r.NobodyFailedAtLeast = &n.Months, &n.Vehicles, &n.AtLeast
	}
	if v := row.VisitDate; v != nil {
		r.VisitDateMedian, r.VisitDateBias = &v.MedianMonths, &v.BiasMonths
	}
	return r
}

func (s *Share) numbers() (share, low, high *float64) {
	if s == nil {
		return nil, nil, nil
	}
	if s.Limits != nil {
		low, high = finite(s.Limits.Low), finite(s.Limits.High)
	}
	return finite(s.Share), low, high
}

func name(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func finite(x float64) *float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return nil
	}
	return &x
}

func reached(x float64) *bool {
	is := !math.IsInf(x, 1)
	return &is
}
