package reports

import (
	"math"
	"slices"
	"strings"

	"beadspan/study/climate"
)

// lifeByClimate is the picture's name.
const lifeByClimate = "life-by-climate"

// climateLifePlot is the picture of life by climate; ok is false where nothing
// is pooled.
func (r *Report) climateLifePlot() (p Plot, ok bool) {
	c := r.ClimateLife
	if c == nil || c.ClimateSD == nil {
		return Plot{}, false
	}
	return Plot{
		Name: lifeByClimate, Title: c.Sentence(),
		Description: "For each climate, from the kindest to the hardest, a mark for each coating: the months until half of its patches are spent, with " +
			confidence(c.Level) + " limits. The small faint mark below is what these patches show by themselves. The last block is a climate that is not in the study. A star: beyond the longest time that any such patch was followed.",
		Table:   c.plotTable(),
		picture: c.picture(r.lookOf),
	}, true
}

// plotTable is LifeTable, and below it the climate that isn't in the study.
func (c *ClimateLife) plotTable() Table {
	t := c.LifeTable()
	for _, o := range c.Coatings {
		t.add(o.Coating, "not in the study", "–", "–", months(o.LongestMonths), o.NewPlace.String()+o.NewPlace.beyond(o.LongestMonths), "–", "–")
	}
	return t
}

// picture arranges the lives, the kindest climate first.
func (c *ClimateLife) picture(lookOf func(coating string) look) climateLifePicture {
	p := climateLifePicture{}
	classes := c.byKindness()
	for _, class := range classes {
		b := climateBlock{label: capital(climate.Words(class)) + " (" + class + ")"}
		for i, o := range c.Coatings {
			for j, row := range c.Rows {
				if row.Coating == o.Coating && row.Climate == class && row.Pooled != nil {
					b.lines = append(b.lines, climateLine{row: j, coating: o.Coating, number: i, look: lookOf(o.Coating), life: *row.Pooled, own: row.Own, beyond: row.beyond()})
					p.lastMonth = math.Max(p.lastMonth, row.Pooled.Limits.High)
				}
			}
		}
		p.blocks = append(p.blocks, b)
	}
	p.lastMonth *= 1.3 // room for names
	fresh := climateBlock{label: "A climate not in the study"}
	for i, o := range c.Coatings {
		fresh.lines = append(fresh.lines, climateLine{row: len(c.Rows) + i, coating: o.Coating, number: i, look: lookOf(o.Coating), life: o.NewPlace, guessed: true, beyond: o.NewPlace.beyond(o.LongestMonths)})
	}
	p.blocks = append(p.blocks, fresh)
	p.lastMonth = axisEnd(p.lastMonth)
	return p
}

// byKindness lists the climates with a pooled life from the one in which
// coatings last longest.
func (c *ClimateLife) byKindness() []string {
	kindness := c.kindness()
	var classes []string
	for class := range kindness {
		classes = append(classes, class)
	}
	slices.SortFunc(classes, func(a, b string) int {
		if kindness[a] != kindness[b] {
			return map[bool]int{true: -1, false: 1}[kindness[a] > kindness[b]]
		}
		return strings.Compare(a, b)
	})
	return classes
}

// capital begins words with a capital letter.
func capital(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}
