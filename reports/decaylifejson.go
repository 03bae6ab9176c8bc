package reports

import "math"

// impliedRecord is an ImpliedLife as machines read it.
type impliedRecord struct {
	Median     *float64      `json:"median_life_months"`
	Low        *float64      `json:"median_life_low_months"`
	High       *float64      `json:"median_life_high_months"`
	Tenth      *float64      `json:"tenth_spent_by_months"`
	NineTenths *float64      `json:"nine_tenths_spent_by_months"`
	Points     []shareRecord `json:"shares"`
}

type shareRecord struct {
	Months  float64  `json:"months"`
	AtLeast float64  `json:"share_holding_at_least"`
	AtMost  float64  `json:"share_holding_at_most"`
	Low     *float64 `json:"share_holding_low"`
	High    *float64 `json:"share_holding_high"`
}

// agreementRecord is a LifeAgreement with the life by checkups.
type agreementRecord struct {
	Median      *float64      `json:"median_life_months"`
	Low         *float64      `json:"median_life_low_months"`
	High        *float64      `json:"median_life_high_months"`
	Points      []shareRecord `json:"shares"`
	To          float64       `json:"compared_up_to_months"`
	LeastLonger float64       `json:"life_by_curves_longer_at_least_months"`
	MostLonger  float64       `json:"life_by_curves_longer_at_most_months"`
	Gap         float64       `json:"largest_gap_share"`
	GapAt       float64       `json:"largest_gap_months"`
	Within      *float64      `json:"share_of_time_within_limits"`
	Sentence    string        `json:"sentence"`
}

func (d Decay) lifeRecords() (*impliedRecord, *agreementRecord) {
	implied := d.Population.Life
	if implied == nil {
		return nil, nil
	}
	r := &impliedRecord{
		finite(implied.Median.Months), finite(implied.Median.Limits.Low), finite(implied.Median.Limits.High),
		finite(implied.Tenth), finite(implied.NineTenths), shareRecords(implied.Points),
	}
	a := implied.Agreement
	if a == nil {
		return r, nil
	}
	limits := Limits{math.NaN(), math.NaN()}
	if a.Seen.Limits != nil {
		limits = *a.Seen.Limits
	}
	return r, &agreementRecord{
		finite(a.Seen.Months), finite(limits.Low), finite(limits.High), shareRecords(d.seen.Points),
		a.ToMonths, a.LeastLonger, a.MostLonger, a.GapShare, a.GapMonths, a.Within, a.Sentence(),
	}
}

func shareRecords(points []Share) []shareRecord {
	records := []shareRecord{}
	for _, p := range points {
		r := shareRecord{Months: p.Months, AtLeast: p.AtLeast, AtMost: p.AtMost}
		if p.Limits != nil {
			r.Low, r.High = finite(p.Limits.Low), finite(p.Limits.High)
		}
		records = append(records, r)
	}
	return records
}
