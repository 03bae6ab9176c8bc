package climate

// Assumptions are the numbers that stand behind loads without having been
// measured at the place. Results carry them, so that a reader can judge.
type Assumptions struct {
	// UVShare is the ultraviolet (295 to 385 nm) share of global radiation. A
	// three-year record at Corvallis, Oregon, gave 0.054 ± 0.008 for 290 to
	// 380 nm (Tellus, 1984); it rises under cloud and falls with dust.
	UVShare float64 `json:"uv_share"`
	// GroundReflectance is the share of ultraviolet that bare ground returns;
	// fresh snow returns most of it. From memory, no source.
	GroundReflectance float64 `json:"ground_reflectance"`
	// TempRangeFactor is kRs of RangeRadiation, per √°C: 0.16 inland, 0.19 on
	// coasts (FAO-56).
	TempRangeFactor float64 `json:"temp_range_factor"`
	// DailySpreadC is the standard deviation of days about their month's mean
	// temperature, 3 to 4 K. From memory, no source.
	DailySpreadC float64 `json:"daily_spread_c"`
	// DailyRangeC stands for maximum less minimum where only the mean
	// temperature is known. From memory, no source.
	DailyRangeC float64 `json:"daily_range_c"`
	// SaltFrostDays are the frost days from which a month counts to the salt
	// season. Common practice, no source.
	SaltFrostDays float64 `json:"salt_frost_days"`
	// ActivationKJPerMol is Ea of HeatWeight; 30 to 60 is usual for the
	// photo-oxidation of coatings. From memory, no source.
	ActivationKJPerMol float64 `json:"activation_kj_per_mol"`
	// ReferenceTempC is where HeatWeight is 1.
	ReferenceTempC float64 `json:"reference_temp_c"`
}

// DefaultAssumptions are those used unless something better is known.
func DefaultAssumptions() Assumptions {
	return Assumptions{
		UVShare:            0.05,
		GroundReflectance:  0.05,
		TempRangeFactor:    0.16,
		DailySpreadC:       3.5,
		DailyRangeC:        8,
		SaltFrostDays:      5,
		ActivationKJPerMol: 50,
		ReferenceTempC:     25,
	}
}
