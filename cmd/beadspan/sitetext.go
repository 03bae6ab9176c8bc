package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"

	"beadspan/cmd/beadspan/internal/siting"
	"beadspan/study/climate"
)

// siteTextWidth is how wide notes run in a terminal.
const siteTextWidth = 92

// text is the whole year for a terminal.
func (y placeYear) text() string {
	var b strings.Builder
	b.WriteString(y.Name)
	if at := siting.Position(y.LatitudeDeg, y.LongitudeDeg); at != y.Name {
		b.WriteString(" (" + at + ")")
	}
	fmt.Fprintf(&b, "\n\n%s\n%s\n", y.summary(), y.plot())
	for _, note := range y.Notes {
		hanging(&b, "- ", note)
	}
	b.WriteString(creditLines())
	return b.String()
}

// summary is the year in a few lines.
func (y placeYear) summary() string {
	var b strings.Builder
	from := map[climate.From]string{
		climate.FromRule: "by rule from the monthly normals", climate.FromRecord: "as recorded with the site",
		climate.FromMap: "from the map",
	}[y.ClassFrom]
	fmt.Fprintf(&b, "Climate      %s: %s (%s)\n", y.Class, y.ClassWords, from)
	b.WriteString(y.doseLines())
	if y.Year.FreezeThawDays != nil {
		fmt.Fprintf(&b, "Freeze-thaw  days a year that pass 0 °C: about %s; with frost: %s; %s\n",
			rounded(y.Year.FreezeThawDays, 0), rounded(y.Year.FrostDays, 0), y.saltWords())
		fmt.Fprintf(&b, "Heat         as %s days a year at %g °C\n", rounded(y.Year.HeatDays, 0), y.Assumptions.ReferenceTempC)
	}
	return b.String()
}

// doseLines say the yearly dose, and what to hold it against.
func (y placeYear) doseLines() string {
	vertical := "vertical ones (all headings alike)"
	if y.HeadingDeg != nil {
		vertical = fmt.Sprintf("vertical ones that look to %g°", *y.HeadingDeg)
	}
	const scale = "             For scale: test sites in south Florida and Arizona are said to get about 280 and 330\n" +
		"             on tilted panels. More of it ages a coating faster; how much, only checkups tell.\n"
	if uv := y.Year.UV; uv != nil {
		return fmt.Sprintf("Ultraviolet  %.0f MJ/m² a year on horizontal panels, %.0f on %s\n", uv.HorizontalMJm2, uv.VerticalMJm2, vertical) + scale
	}
	low, high := y.Year.UVOvercast, y.Year.UVClear
	return fmt.Sprintf("Ultraviolet  somewhere from %.0f to %.0f MJ/m² a year on horizontal panels, %.0f to %.0f on\n"+
		"             %s: tell how cloudy it is, --sunshine-h HOURS of a year\n",
		low.HorizontalMJm2, high.HorizontalMJm2, low.VerticalMJm2, high.VerticalMJm2, vertical) + scale
}

func (y placeYear) saltWords() string {
	var months []string
	for _, m := range y.Months {
		if m.Salt != nil && *m.Salt {
			months = append(months, m.Month)
		}
	}
	if len(months) == 0 {
		return "no salt season"
	}
	return "salt season " + strings.Join(months, " ")
}

// barWidth is how long the bar of the brightest month is.
const barWidth = 24

// plot draws the year, a line a month.
func (y placeYear) plot() string {
	var b strings.Builder
	title := "UV, horizontal, MJ/m²"
	if y.Sky == climate.SkyUnknown {
		title = "UV if always clear, MJ/m²"
	}
	fmt.Fprintf(&b, "       °C    mm  %-*s %6s %9s %12s\n", barWidth, title, "", "vertical", "freeze-thaw")
	most := 0.0
	for _, m := range y.Months {
		most = math.Max(most, shownDose(m).HorizontalMJm2)
	}
	for _, m := range y.Months {
		dose := shownDose(m)
		line := fmt.Sprintf("%s %5s %5s  %-*s %6.1f %9.1f %12s", m.Month, rounded(m.MeanTempC, 1), rounded(m.PrecipitationMM, 0),
			barWidth, bar(dose.HorizontalMJm2, most), dose.HorizontalMJm2, dose.VerticalMJm2, rounded(m.FreezeThawDays, 1))
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}

// shownDose is the month's dose, or that under a clear sky where clouds aren't
// known.
func shownDose(m climate.Month) climate.Dose {
	if m.UV == nil {
		return m.UVClear
	}
	return *m.UV
}

// bar draws a value in blocks, an eighth of a letter fine.
func bar(x, most float64) string {
	if most <= 0 {
		return ""
	}
	eighths := int(math.Round(x / most * barWidth * 8))
	blocks := strings.Repeat("█", eighths/8)
	if rest := eighths % 8; rest > 0 {
		blocks += string([]rune(" ▏▎▍▌▋▊▉")[rest])
	}
	return blocks
}

// creditLines name the sources of the maps and cities.
func creditLines() string {
	var b strings.Builder
	b.WriteString("\n")
	for _, credit := range climate.Credits() {
		hanging(&b, "", credit)
	}
	return b.String()
}

// hanging writes a paragraph whose further lines stand below its first word.
func hanging(b *strings.Builder, mark, words string) {
	indent := strings.Repeat(" ", max(2, len(mark)))
	for i, line := range strings.Split(text.WrapSoft(words, siteTextWidth-len(indent)), "\n") {
		if i > 0 {
			mark = indent
		}
		b.WriteString(strings.TrimRight(mark+line, " ") + "\n")
	}
}
