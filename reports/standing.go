package reports

import (
	"html/template"

	"beadspan/study"
)

// dropDrawings show each standing as a drop in profile on its panel, in the
// current text colour, 32 units wide and 24 high.
var dropDrawings = map[study.Standing]template.HTML{
	study.Holding: panelLine + roundDrop,
	study.Doubtful: panelLine + roundDrop +
		`<path d="M5 15.5h22M5 11.5h22M5 7.5h22" stroke-width="0"/>` +
		`<path d="M4 20l6-13M9 20l6-13M14 20l6-13M19 20l6-13M24 20l4-9" stroke-width="1" fill="none"/>`,
	study.Spent: panelLine + `<path d="M3 21c2-3.4 6-4.4 13-4.4s11 1 13 4.4z" fill="currentColor" fill-opacity=".25"/>`,
	study.Ended: panelLine + roundDrop +
		`<path d="M3 12.5h26" stroke-width="2.4"/>`,
	study.Unread: panelLine + `<path d="M11 21a8.6 8.6 0 1 1 10 0" fill="none" stroke-dasharray="1.6 2.2"/>`,
}

const (
	panelLine = `<path d="M1 21.5h30" stroke-width="1.4"/>`
	roundDrop = `<path d="M11 21a8.6 8.6 0 1 1 10 0z" fill="currentColor" fill-opacity=".25"/>`
)

// drop draws a standing. The word beside it says the same, so it is hidden
// from those who listen.
func drop(s study.Standing) template.HTML {
	return `<svg class="drop" viewBox="0 0 32 24" width="32" height="24" aria-hidden="true" focusable="false" ` +
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
