package reports

import "strings"

// decayFigures are a coating's on the page.
type decayFigures struct {
	Coating string
	Figures []figure
}

// addDecay puts a figure under its coating, and says whether it was one of a
// decay.
func (p *page) addDecay(f figure) bool {
	for _, d := range p.Decays {
		code := fileName(d.Coating)
		switch f.Name {
		case decayPlotName + code:
			f.Notes = d.ShownNotes()
			p.DecayFigures = append(p.DecayFigures, decayFigures{Coating: d.Coating})
		case patchesPlotName + code:
		case livesPlotName + code:
			f.Words = d.Population.Life.Agreement.Sentence()
		default:
			continue
		}
		last := &p.DecayFigures[len(p.DecayFigures)-1]
		last.Figures = append(last.Figures, f)
		return true
	}
	return false
}

// DecayWords explain the first plot of a coating, by whether patches are told
// apart.
func (p *page) DecayWords() string {
	words := []string{"Every dot is the mean of one patch’s drops at one reading after a decontamination wash, until a topper or other care put an end to the bare coating."}
	apart, together := false, false
	for _, d := range p.Decays {
		apart = apart || d.Population != nil
		together = together || d.Population == nil && d.Curve != nil
	}
	if apart {
		words = append(words, "The line is the typical patch: half of the patches fall faster, half more slowly.")
	}
	if together {
		words = append(words, "Where patches aren’t told apart, it is the mean of all, whose crossing of the threshold is not the median life of a patch.")
	}
	return strings.Join(words, " ")
}
