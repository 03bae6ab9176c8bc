package reports

import (
	"fmt"
	"math"

	"beadspan/study/exposure"
)

// Sentence tells in plain words which clock lines lives up best, as far as the
// study can tell.
func (c *Clocks) Sentence() string {
	good, worse := c.sorted()
	switch {
	case len(good) == 0:
		return "Too few patches were spent to tell by which clock coatings age."
	case len(good)+len(worse) == 1:
		return fmt.Sprintf("Only %s can be told for these patches, so there is no clock to hold it against.", clockWords(good[0].Clock))
	}
	sentence := ""
	switch {
	case len(worse) == 0:
		sentence = fmt.Sprintf("The data can’t tell by which clock coatings age: lives line up about equally well by %s.", listed(clockNames(good)))
	case len(good) == 1:
		sentence = fmt.Sprintf("Lives line up best by %s; every other clock is worse by %.0f or more in log-likelihood, which is more than chance.",
			clockWords(good[0].Clock), math.Floor(worse[0].Behind))
	default:
		sentence = fmt.Sprintf("Lives line up best by %s, and the data can’t tell which of these it is; %s %s worse by more than chance.",
			listed(clockNames(good)), listed(clockNames(worse)), map[bool]string{true: "is", false: "are"}[len(worse) == 1])
	}
	return sentence + c.climateSentence(good)
}

// climateSentence says how much the clocks that may be the best leave for the
// climate to explain, beside the calendar.
func (c *Clocks) climateSentence(good []ClockRow) string {
	least := good[0]
	for _, row := range good {
		if row.Climate != nil && (least.Climate == nil || row.Climate.Ratio < least.Climate.Ratio) {
			least = row
		}
	}
	if least.Climate == nil {
		return ""
	}
	words := " By it, "
	if len(good) > 1 {
		words = fmt.Sprintf(" Of these %s leave the least to the climate: by them, ", clockWords(least.Clock))
		if least.Clock == exposure.UV {
			words = fmt.Sprintf(" Of these the %s leaves the least to the climate: by it, ", clockWords(least.Clock))
		}
	}
	words += fmt.Sprintf("lives in %s are %.2g times those in %s", least.Climate.Longest, least.Climate.Ratio, least.Climate.Shortest)
	switch {
	case math.IsNaN(least.Climate.P):
		words += ", on too few vehicles to tell it from chance"
	case least.Climate.P >= 1-c.Level:
		words += ", which may be chance"
	default:
		words += ", which is more than chance"
	}
	if months := c.Row(exposure.Months); least.Clock != exposure.Months && months != nil && months.Climate != nil {
		words += fmt.Sprintf("; by the calendar the climates differ %.2g-fold", months.Climate.Ratio)
	}
	return words + "."
}

// Row returns the row of a clock that was compared; nil if it wasn't.
func (c *Clocks) Row(clock exposure.Clock) *ClockRow {
	for i := range c.Rows {
		if c.Rows[i].Clock == clock && c.Rows[i].Why == "" {
			return &c.Rows[i]
		}
	}
	return nil
}

// sorted tells the compared clocks that may be the best from the others.
func (c *Clocks) sorted() (good, worse []ClockRow) {
	for _, row := range c.Rows {
		switch {
		case row.Why != "":
		case row.AsGood:
			good = append(good, row)
		default:
			worse = append(worse, row)
		}
	}
	return good, worse
}

func clockNames(rows []ClockRow) []string {
	names := make([]string, len(rows))
	for i, row := range rows {
		names[i] = clockWords(row.Clock)
	}
	return names
}

func clockWords(c exposure.Clock) string {
	switch c {
	case exposure.Months:
		return "calendar months"
	case exposure.UV:
		return "ultraviolet dose"
	case exposure.FreezeThaw:
		return "freeze-thaw days"
	case exposure.Salt:
		return "salt-season days"
	case exposure.Heat:
		return "heat-weighted days"
	case exposure.Washes:
		return "washes"
	case exposure.Km:
		return "kilometres driven"
	}
	return string(c)
}

// amount writes a number of any size to about three figures.
func amount(x float64) string {
	switch {
	case x >= 1000:
		step := math.Pow(10, math.Floor(math.Log10(x))-2)
		return number(int(math.Round(x/step) * step))
	case x >= 100:
		return fmt.Sprintf("%.0f", x)
	case x >= 10:
		return fmt.Sprintf("%.1f", x)
	}
	return fmt.Sprintf("%.2f", x)
}
