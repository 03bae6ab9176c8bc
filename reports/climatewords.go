package reports

import (
	"fmt"
	"math"
	"strings"

	"beadspan/stats/survival/pooled"
	"beadspan/study/climate"
)

// Sentence tells in plain words what the climate does to life.
func (c *ClimateLife) Sentence() string {
	if c.ClimateSD == nil {
		return c.Refused
	}
	longest, shortest := c.extremes()
	if *c.ClimateSD == 0 || longest == shortest {
		return "By these patches the climates differ by no more than chance."
	}
	var pairs []string
	for _, o := range c.Coatings {
		long, short := c.pooledRow(o.Coating, longest), c.pooledRow(o.Coating, shortest)
		if long == nil || short == nil {
			continue
		}
		unit := ""
		if len(pairs) == 0 {
			unit = " months"
		}
		pairs = append(pairs, fmt.Sprintf("%s %s against %s%s", o.Coating, long.monthsWords(), short.monthsWords(), unit))
	}
	return fmt.Sprintf("Coatings last longest in %s and shortest in %s: %s until half of the patches are spent.",
		classWords(longest), classWords(shortest), listed(pairs))
}

// classWords names a climate: "hot desert (BWh)".
func classWords(class string) string {
	if words := climate.Words(class); words != "" {
		return words + " (" + class + ")"
	}
	return class
}

// extremes are the climates in which coatings last longest and shortest.
func (c *ClimateLife) extremes() (longest, shortest string) {
	classes := c.byKindness()
	if len(classes) == 0 {
		return "", ""
	}
	return classes[0], classes[len(classes)-1]
}

// kindness is the mean, over the coatings, of how far the log of each pooled
// life in a climate lies above that of its middling one.
func (c *ClimateLife) kindness() map[string]float64 {
	kindness := map[string]float64{}
	for _, at := range c.Climates {
		sum, n := 0.0, 0.0
		for _, o := range c.Coatings {
			if life := c.pooledIn(o.Coating, at.Class); life != nil {
				sum += math.Log(life.Months / o.Middling.Months)
				n++
			}
		}
		if n > 0 {
			kindness[at.Class] = sum / n
		}
	}
	return kindness
}

// pooledRow is the row of a coating in a climate, where it has a pooled life.
func (c *ClimateLife) pooledRow(coating, class string) *ClimateLifeRow {
	for i, row := range c.Rows {
		if row.Coating == coating && row.Climate == class && row.Pooled != nil {
			return &c.Rows[i]
		}
	}
	return nil
}

func (c *ClimateLife) pooledIn(coating, class string) *HalfLife {
	if row := c.pooledRow(coating, class); row != nil {
		return row.Pooled
	}
	return nil
}

// monthsWords writes the pooled life, and says so where it lies beyond what was
// followed.
func (row ClimateLifeRow) monthsWords() string {
	if row.Pooled.Months > row.LongestMonths {
		return fmt.Sprintf("%s (beyond the %s followed)", months(row.Pooled.Months), months(row.LongestMonths))
	}
	return months(row.Pooled.Months)
}

// beyondNote explains the mark of beyond.
const beyondNote = "* beyond the longest time that any such patch was followed: the shape of the distribution answers, not the patches."

// note says what a reader must know beside the tables.
func (c *ClimateLife) note() {
	say := func(format string, args ...any) { c.Notes = append(c.Notes, fmt.Sprintf(format, args...)) }
	if c.sample.unclassed > 0 {
		say("%s left out: the site has no climate class.", patches(c.sample.unclassed))
	}
	if c.sample.unknown > 0 {
		say("%s left out: never conclusively read, or enrolled late and never seen holding.", patches(c.sample.unknown))
	}
	if c.Law == "" {
		if len(c.Rows) > 0 {
			say("More needed: vehicle-months until %d patches are spent, at the rate at which they have been so far; while none of a coating is spent, nothing tells.", pooled.LeastEnded)
		}
		return
	}
	say("Lives are those of a patch on the study’s mix of panels, substrates and garages, the same in every climate. They follow a %s distribution (least AIC of four); limits hold for vehicles whose patches share their fate.", lawWords(c.Law))
	c.Notes = append(c.Notes, c.sample.merged...)
	say("More needed: vehicle-months until the life by itself is known to within %.0f %%, at the rate at which patches have been spent so far.", 100*knownWithin)
	if c.ClimateSD == nil {
		return
	}
	spread := fmt.Sprintf("Climates differ by a factor of about %.2f either way from a middling one", math.Exp(*c.ClimateSD))
	if c.CellSD != nil {
		spread += fmt.Sprintf(", and coatings in how they take a climate by %.2f more", math.Exp(*c.CellSD))
	}
	say("%s.", spread)
	say("Pooled: each life by itself, drawn towards what the coating does elsewhere and what the climate does to the others, the more so the less it shows. It rests on %d climates with medians of their own.", len(c.result.Places))
	if strings.Contains(fmt.Sprint(c.LifeTable().Rows, c.OutlookTable().Rows), " *") {
		c.Notes = append(c.Notes, beyondNote)
	}
	if c.result.Unsettled {
		say("What coatings with few spent patches say had not settled when the search ended: take the pooled lives of those with care.")
	}
	c.noteLoads()
}

// noteLoads says of which loads nothing can be told.
func (c *ClimateLife) noteLoads() {
	var why []string
	for _, row := range c.Loads {
		if row.Why != "" {
			why = append(why, fmt.Sprintf("%s: %s", clockWords(row.Clock), row.Why))
		}
	}
	if len(why) > 0 {
		c.Notes = append(c.Notes, "Not told: "+strings.Join(why, "; ")+".")
	}
}

// OutlookWords says what OutlookTable means; empty where it has nothing.
func (c *ClimateLife) OutlookWords() string {
	if len(c.Coatings) == 0 {
		return ""
	}
	return fmt.Sprintf("A climate that is not in the study may be as good or as bad for coatings as the study’s are. With %d of them no more is known of it, so its limits are wide; the middling climate is the centre of all such climates.",
		len(c.result.Places))
}

// FactorWords says how far FactorTable may be trusted; empty where no load's
// effect is told.
func (c *ClimateLife) FactorWords() string {
	for _, row := range c.Loads {
		if row.Why == "" {
			return fmt.Sprintf("Loads of the weather are compared between climates, one at a time: where they rise and fall together, %d climates can’t tell which of them does it, and something else may.", len(c.result.Places))
		}
	}
	return ""
}
