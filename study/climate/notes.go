package climate

import (
	"fmt"
	"strings"
)

// notes says what a reader must know beside the numbers.
func (c *Climate) notes() []string {
	var notes []string
	say := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	c.classNotes(say)
	c.skyNotes(say)
	a := c.Assumptions
	if c.Normals.MeanTemp() != nil {
		spread := fmt.Sprintf("Days are taken to spread by %g K about the month's mean", a.DailySpreadC)
		if c.Normals.MaxTempC == nil {
			spread += fmt.Sprintf(" and to range over %g K, as only mean temperatures are known", a.DailyRangeC)
		}
		say("%s: freeze-thaw and frost days are estimates. A month belongs to the salt season from %g frost days; whether roads are salted is for you to know.",
			spread, a.SaltFrostDays)
		say("Heat is in days at %g °C by an assumed activation energy of %g kJ/mol, of the air; a dark panel in the sun is 20 to 40 K hotter.",
			a.ReferenceTempC, a.ActivationKJPerMol)
	}
	if c.LatitudeDeg > 55 || c.LatitudeDeg < -55 {
		say("Beyond 55° latitude the radiation formulas are less sure, and vertical panels are put too high in winter.")
	}
	return notes
}

func (c *Climate) classNotes(say func(string, ...any)) {
	switch c.ClassFrom {
	case FromNobody:
		say("No class: give monthly temperatures and precipitation.")
	case FromMap:
		say("The class is the map's, of a cell about 11 km wide or the nearest on land. With monthly precipitation it would be worked out by rule.")
	case FromRecord:
		say("The class is the one recorded with the site. With monthly temperatures and precipitation it would be worked out by rule.")
	}
	if c.ClassFrom != FromMap && c.MapClass != "" && c.Class != "" && c.MapClass != c.Class {
		say("The map says %s (%s) here. It shows the mean of a cell about 11 km wide for 1991 to 2020; near a border, on coasts and in mountains the two often differ. %s is used.",
			c.MapClass, Words(c.MapClass), c.Class)
	}
	if len(c.Neighbours) > 0 {
		var words []string
		for _, n := range c.Neighbours {
			words = append(words, fmt.Sprintf("%s if %s", n.Class, n.Change))
		}
		say("Borderline: it would be %s.", strings.Join(words, ", "))
	}
}

func (c *Climate) skyNotes(say func(string, ...any)) {
	a := c.Assumptions
	say("Ultraviolet is taken as %g %% of sunlight (3.5 to 6.5 %% is known to occur).", 100*a.UVShare)
	switch c.Sky {
	case SkyUnknown:
		say("How cloudy it is isn't known, so only limits of the dose are told: under a sky that never clears, and under one that never clouds. A year's sunshine hours would settle it.")
	case SkyCloud:
		say("Sunshine is taken as the part of the daylight without cloud, which is a rough guess.")
	case SkyUVDose:
		say("The yearly dose on a horizontal panel is the recorded one; months and vertical panels follow from it as if clouds were alike all year.")
	case SkyTempRange:
		say("Clouds are guessed from the daily range of temperature, with the factor for inland places (%g); on a coast the dose may be a fifth higher.", a.TempRangeFactor)
	}
	if c.HeadingDeg != nil {
		say("Ultraviolet comes more evenly from all over the sky than the rest of sunlight, by which it is shared out: sides towards the sun are put a little too high, sides away from it too low.")
	}
	if c.AltitudeM == nil && c.Sky == SkyUnknown {
		say("The height isn't known and counts as sea level; each 1000 m adds 2.7 %% to a clear sky.")
	}
}
