package study

// Practice is what common practice asks of one condition of a coating job: a
// value from Low to High, nil being no limit.
type Practice struct {
	Column string   `json:"column"` // the log's
	Low    *float64 `json:"low"`
	High   *float64 `json:"high"`
}

// JobPractice lists the limits beyond which Job.Warnings warns, for whoever
// asks while the job is being written down (common practice, no source).
func JobPractice() []Practice {
	from := func(low float64) *float64 { return &low }
	return []Practice{
		{"air_temp_c", from(coldestJobC), from(warmestJobC)},
		{"humidity_pct", nil, from(dampestJobPct)},
		{"prep_alcohol_pct", from(weakestPrepPct), from(strongestPrepPct)},
		{"layers", from(usualLayers), from(usualLayers)},
		{"layer_interval_h", from(shortestLayerH), from(longestLayer)},
		{"flash_s", from(shortestFlashS), from(longestFlashS)},
		{"keep_dry_h", from(leastDryH), nil},
		{"days_to_first_wash", from(washFreeDays), nil},
	}
}
