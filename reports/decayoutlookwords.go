package reports

import (
	"fmt"
	"strings"

	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// explain says what the numbers of an outlook rest on, and what they leave out.
func (p *PatchOutlook) explain(m member, o *mixed.Outlook) {
	words := strings.NewReplacer("groups", "vehicles", "those it belongs with", "other patches of its vehicle", "of others like it", "of other patches of its coating",
		"of any after time", "of any patch after day")
	for _, note := range o.Notes {
		p.Notes = append(p.Notes, words.Replace(note))
	}
	if len(o.Points) == 0 {
		p.Why, p.Notes = strings.Join(p.Notes, " "), nil
		return
	}
	if m.Span.Ended == study.Topper {
		p.Notes = append(p.Notes, fmt.Sprintf("A topper of %s repels water of its own: this is the outlook of the coating below it.", m.Span.EndedOn))
	}
	if m.Span.Known && m.Span.LowerDays > 0 {
		p.Notes = append(p.Notes, fmt.Sprintf("It was last seen holding on %s. A reading that passes may do so by chance, so this is no certainty here; all clean readings count together.", m.Patch.InService()+study.Day(m.Span.LowerDays)))
	}
}

// Finding says in one sentence when the patch is likely to be below the
// threshold.
func (p PatchOutlook) Finding(thresholdDeg float64) string {
	who := fmt.Sprintf("%s (%s)", p.Patch, p.Coating)
	if len(p.Points) == 0 {
		return who + ": no outlook"
	}
	below := "below " + degrees(thresholdDeg)
	last := p.Points[len(p.Points)-1]
	for i, at := range p.Points {
		if at.Below < 0.5 {
			continue
		}
		if i == 0 {
			return fmt.Sprintf("%s is more likely than not %s on %s already (%s)", who, below, at.Day, chance(at.Below))
		}
		return fmt.Sprintf("%s is more likely than not %s by %s (%s; %s by %s)", who, below, at.Day, chance(at.Below), chance(last.Below), last.Day)
	}
	return fmt.Sprintf("%s is more likely than not still above %s on %s (%s to be below)", who, degrees(thresholdDeg), last.Day, chance(last.Below))
}

// chance writes a probability; none is certain.
func chance(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return percent(p)
}
