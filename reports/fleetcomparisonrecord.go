package reports

import (
	"io"

	"beadspan/study"
)

type comparisonRecord struct {
	Sentence   string             `json:"sentence"`
	Change     []string           `json:"what_would_change"`
	Level      float64            `json:"confidence_level"`
	Replicates int                `json:"bootstrap_replicates"`
	Seed       uint64             `json:"seed"`
	Metric     study.Metric       `json:"metric"`
	Threshold  float64            `json:"threshold"`
	Confirm    int                `json:"confirm"`
	Estimand   study.Estimand     `json:"estimand"`
	Coatings   []comparedRecord   `json:"coatings"`
	Models     []ratioModelRecord `json:"models"`
	Pairs      []pairRecord       `json:"pairs"`
	Readings   []readingRecord    `json:"readings"`
	Notes      []string           `json:"notes"`
}

type comparedRecord struct {
	Coating       string  `json:"coating"`
	Vehicles      int     `json:"n_vehicles"`
	Patches       int     `json:"n_patches"`
	Spent         int     `json:"n_spent"`
	SpentVehicles int     `json:"n_vehicles_spent"`
	Longest       float64 `json:"longest_followed_months"`
}

type ratioModelRecord struct {
	Coatings []string `json:"coatings"`
	Law      string   `json:"distribution"`
	Held     []string `json:"held_alike"`
	Vehicles int      `json:"n_vehicles"`
	Patches  int      `json:"n_patches"`
	Spent    int      `json:"n_spent"`
}

// pairRecord is a pair in JSON, and a row in CSV.
type pairRecord struct {
	A             string   `json:"coating_a"`
	B             string   `json:"coating_b"`
	Both          int      `json:"n_vehicles_with_both"`
	Either        int      `json:"n_vehicles_with_one"`
	Ratio         *float64 `json:"ratio_of_lives"`
	RatioLow      *float64 `json:"ratio_lower"`
	RatioHigh     *float64 `json:"ratio_upper"`
	P             *float64 `json:"p_value"`
	Adjusted      *float64 `json:"p_value_adjusted"`
	RatioWhy      *string  `json:"no_ratio_because"`
	Horizon       *float64 `json:"horizon_months"`
	MeanA         *float64 `json:"mean_a_months"`
	MeanB         *float64 `json:"mean_b_months"`
	Lead          *float64 `json:"mean_difference_months"`
	LeadLow       *float64 `json:"mean_difference_lower_months"`
	LeadHigh      *float64 `json:"mean_difference_upper_months"`
	OpenLow       *float64 `json:"mean_difference_left_open_lower_months"`
	OpenHigh      *float64 `json:"mean_difference_left_open_upper_months"`
	PatchesA      *int     `json:"n_patches_a_in_means"`
	PatchesB      *int     `json:"n_patches_b_in_means"`
	LeadWhy       *string  `json:"no_mean_difference_because"`
	RankP         *float64 `json:"log_rank_p_value"`
	RankAdjusted  *float64 `json:"log_rank_p_value_adjusted"`
	RankLonger    *string  `json:"log_rank_longer"`
	Shown         *bool    `json:"shown_to_differ"`
	ChangedBy     []string `json:"changed_by_readings"`
	ChangedByAlso []string `json:"changed_by_mistakes"`
}

type readingRecord struct {
	Reading string            `json:"reading"`
	Mistake bool              `json:"mistake"`
	Ratios  []readRatioRecord `json:"ratios"`
}

type readRatioRecord struct {
	A       string   `json:"coating_a"`
	B       string   `json:"coating_b"`
	Patches int      `json:"n_patches"`
	Spent   int      `json:"n_spent"`
	Ratio   *float64 `json:"ratio_of_lives"`
	Low     *float64 `json:"ratio_lower"`
	High    *float64 `json:"ratio_upper"`
	P       *float64 `json:"p_value"`
	Why     *string  `json:"no_ratio_because"`
	Change  *string  `json:"change"`
}

// WriteJSON writes the comparison for machines.
func (c *FleetComparison) WriteJSON(w io.Writer) error {
	return writeRecord(w, "comparison", c.record())
}

func (c *FleetComparison) record() comparisonRecord {
	r := comparisonRecord{Sentence: c.Sentence(), Change: append([]string{}, c.WhatWouldChange()...), Level: c.Level,
		Replicates: c.Replicates, Seed: c.Seed, Metric: c.Protocol.Metric, Threshold: c.Protocol.Threshold,
		Confirm: c.Protocol.Confirm, Estimand: c.Protocol.Estimand, Coatings: []comparedRecord{}, Models: []ratioModelRecord{},
		Pairs: c.pairRecords(), Readings: []readingRecord{}, Notes: append([]string{}, c.Notes...)}
	for _, x := range c.Coatings {
		r.Coatings = append(r.Coatings, comparedRecord{x.Code, x.Vehicles, x.Patches, x.Spent, x.SpentVehicles, x.LongestMonths})
	}
	for _, m := range c.Models {
		r.Models = append(r.Models, ratioModelRecord{m.Coatings, m.Law, append([]string{}, m.Held...), m.Vehicles, m.Patches, m.Spent})
	}
	for _, reading := range c.Readings {
		r.Readings = append(r.Readings, c.readingRecord(reading))
	}
	return r
}

func (c *FleetComparison) pairRecords() []pairRecord {
	records := []pairRecord{}
	for i, p := range c.Pairs {
		r := pairRecord{A: p.A, B: p.B, Both: p.Both, Either: p.Either, RatioWhy: name(p.RatioWhy), LeadWhy: name(p.LeadWhy),
			RankP: finite(p.RankP), RankAdjusted: finite(p.RankAdjusted), RankLonger: name(p.RankLonger), ChangedBy: []string{}, ChangedByAlso: []string{}}
		if x := p.Ratio; x != nil {
			r.Ratio, r.RatioLow, r.RatioHigh = finite(x.Ratio), finite(x.Limits.Low), finite(x.Limits.High)
			r.P, r.Adjusted, r.Shown = finite(x.P), finite(x.Adjusted), new(x.Shown(c.Level))
		}
		if l := p.Lead; l != nil {
			r.Horizon, r.MeanA, r.MeanB, r.Lead = finite(l.HorizonMonths), finite(l.Means[0]), finite(l.Means[1]), finite(l.Months)
			r.LeadLow, r.LeadHigh, r.OpenLow, r.OpenHigh = finite(l.Limits.Low), finite(l.Limits.High), finite(l.Open.Low), finite(l.Open.High)
			r.PatchesA, r.PatchesB = &l.Patches[0], &l.Patches[1]
		}
		for _, reading := range c.Readings {
			switch {
			case !reading.Ratios[i].Change.alters():
			case reading.Mistake:
				r.ChangedByAlso = append(r.ChangedByAlso, reading.What)
			default:
				r.ChangedBy = append(r.ChangedBy, reading.What)
			}
		}
		records = append(records, r)
	}
	return records
}

func (c *FleetComparison) readingRecord(of Reading) readingRecord {
	r := readingRecord{of.What, of.Mistake, []readRatioRecord{}}
	for i, read := range of.Ratios {
		one := readRatioRecord{A: c.Pairs[i].A, B: c.Pairs[i].B, Patches: read.Patches, Spent: read.Spent, Why: name(read.Why), Change: name(string(read.Change))}
		if x := read.Ratio; x != nil {
			one.Ratio, one.Low, one.High, one.P = finite(x.Ratio), finite(x.Limits.Low), finite(x.Limits.High), finite(x.P)
		}
		r.Ratios = append(r.Ratios, one)
	}
	return r
}
