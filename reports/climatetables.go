package reports

import (
	"fmt"
	"math"
)

// LifeTable is the table coating × climate.
func (c *ClimateLife) LifeTable() Table {
	t := Table{Caption: "Half spent by, months, with " + confidence(c.Level) + " limits",
		Head: []string{"Coating", "Climate", "Vehicles", "Spent", "Seen", "Pooled", "By itself", "More needed"}}
	for _, row := range c.Rows {
		more := "not known"
		switch m := row.MoreVehicleMonths; {
		case m != nil && *m == 0:
			more = "none"
		case m != nil:
			more = number(int(roundUp(*m)))
		}
		t.add(row.Coating, row.Climate, number(row.Vehicles), fmt.Sprintf("%s of %s", number(row.Spent), number(row.Patches)),
			months(row.LongestMonths), row.Pooled.String()+row.beyond(), row.Own.String(), more)
	}
	return t
}

// beyond marks a life longer than any that was followed.
func (row ClimateLifeRow) beyond() string { return row.Pooled.beyond(row.LongestMonths) }

func (h *HalfLife) beyond(followed float64) string {
	if h != nil && h.Months > followed {
		return " *"
	}
	return ""
}

// roundUp makes a planning figure round: to two digits.
func roundUp(x float64) float64 {
	if x <= 10 {
		return math.Ceil(x)
	}
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Ceil(x/step) * step
}

// OutlookTable tells of climates that aren't in the study.
func (c *ClimateLife) OutlookTable() Table {
	t := Table{Caption: "Beyond the study’s climates: half spent by, months, with " + confidence(c.Level) + " limits",
		Head: []string{"Coating", "Middling climate", "One climate not in the study"}}
	for _, o := range c.Coatings {
		t.add(o.Coating, o.Middling.String()+o.Middling.beyond(o.LongestMonths), o.NewPlace.String()+o.NewPlace.beyond(o.LongestMonths))
	}
	return t
}

// WeatherTable tells of the climates of the study.
func (c *ClimateLife) WeatherTable() Table {
	t := Table{Caption: "A year in the study’s climates, of an average patch there",
		Head: []string{"Climate", "Vehicles", "UV, MJ/m²", "Heat days", "Freeze-thaw", "Salt days"}}
	for _, at := range c.Climates {
		cells := []string{at.Class + ": " + at.Words, number(at.Vehicles)}
		for _, clock := range weatherClocks() {
			cell := "–"
			if load, known := at.Loads[clock]; known {
				cell = fmt.Sprintf("%.0f", load)
			}
			cells = append(cells, cell)
		}
		t.add(cells...)
	}
	return t
}

// FactorTable tells by what lives are multiplied: by loads, then by conditions.
func (c *ClimateLife) FactorTable() Table {
	t := Table{Caption: "Lives are so many times as long", Head: []string{"For", "Times", confidence(c.Level) + " limits", "p"}}
	add := func(name string, ratio float64, limits Limits, p float64) {
		t.add(name, times(ratio), times(limits.Low)+"–"+times(limits.High), pWords(p))
	}
	for _, row := range c.Loads {
		if row.Why == "" {
			add(fmt.Sprintf("%g %s more a year", row.Step, row.Unit), row.Ratio, row.Limits, row.P)
		}
	}
	for _, condition := range c.Conditions {
		add(condition.Name, condition.Ratio, condition.Limits, condition.P)
	}
	return t
}

func times(x float64) string {
	if x >= 100 {
		return "100 or more"
	}
	return fmt.Sprintf("%.2f", x)
}
