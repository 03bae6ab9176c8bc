package reports

import (
	"html/template"

	"beadspan/study"
)

// dropDrawings show each standing as a drop in profile on its panel, in the
// current text colour, 48 units wide and 32 high.
var dropDrawings = map[study.Standing]template.HTML{
	study.Holding: panelLine + roundDrop,
	study.Doubtful: panelLine + roundDrop +
		`<path d="M4 5h40v23.5H4z" fill="none" stroke-width="1"/>` +
		`<path d="M4 12l7-7M4 20L19 5M4 28L27 5M12 28L35 5M20 28L43 5M28 28L44 12M36 28l8-8" fill="none" stroke-width="1"/>`,
	study.Spent: panelLine + `<path d="M5 28.5c2-4 8-5.6 19-5.6s17 1.6 19 5.6z" fill="currentColor" fill-opacity=".25"/>`,
	study.Ended: panelLine + roundDrop + `<path d="M5 17h38" stroke-width="3"/>`,
	study.Unread: panelLine +
		`<path d="M17 28.5a11.8 11.8 0 1 1 14 0" fill="none" stroke-dasharray="2 2.6"/>`,
}

const (
	panelLine = `<path d="M2 28.5h44"/>`
	roundDrop = `<path d="M17 28.5a11.8 11.8 0 1 1 14 0z" fill="currentColor" fill-opacity=".25"/>`
)

// Drop draws a standing. The word beside it says the same, so it is hidden
// from those who listen.
func Drop(s study.Standing) template.HTML {
	return `<svg class="drop" viewBox="0 0 48 32" width="48" height="32" aria-hidden="true" focusable="false" ` +
		`stroke="currentColor" stroke-width="1.6" stroke-linecap="round" stroke-linejoin="round">` +
		dropDrawings[s] + `</svg>`
}

// StandingCount is how many patches stand in one way today.
type StandingCount struct {
	Standing study.Standing
	Patches  int
	Meaning  string
}

// standingsOf counts patches by standing.
func standingsOf(followed []study.Followed) []StandingCount {
	n := map[study.Standing]int{}
	for _, f := range followed {
		n[f.Span.Standing]++
	}
	var counts []StandingCount
	for _, s := range study.Standings() {
		counts = append(counts, StandingCount{s, n[s], standingMeaning(s)})
	}
	return counts
}

func standingMeaning(s study.Standing) string {
	switch s {
	case study.Holding:
		return "repelled water when last read"
	case study.Doubtful:
		return "failed last, unproven: decon wash, then read again"
	case study.Spent:
		return "failed clean, and that counted"
	case study.Ended:
		return "coating covered, removed or out of sight before it was seen spent"
	case study.Unread:
		return "no reading yet"
	}
	return string(s)
}
