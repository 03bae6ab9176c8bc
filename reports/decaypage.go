package reports

import "strings"

// decaySection has a part for each coating that was read.
func (r *Report) decaySection(plots []Plot) Section {
	s := Section{Name: "decay", Heading: "How the contact angle falls"}
	for _, d := range r.Decays {
		code := fileName(d.Coating)
		readings := plotsNamed(plots, decayPlotName+code)
		if len(readings) == 0 {
			continue
		}
		if len(s.Parts) == 0 {
			s.Say(r.decayWords())
		}
		s.Head(d.Coating)
		s.Draw(readings...)
		s.Explain(d.ShownNotes()...)
		s.Draw(plotsNamed(plots, patchesPlotName+code)...)
		if lives := plotsNamed(plots, livesPlotName+code); len(lives) > 0 {
			s.Draw(lives...)
			s.Say(d.Population.Life.Agreement.Sentence())
		}
	}
	return s
}

// decayWords explain the first plot of a coating, by whether patches are told
// apart.
func (r *Report) decayWords() string {
	words := []string{"Every dot is the mean of one patch’s drops at one reading after a decontamination wash, until a topper or other care put an end to the bare coating."}
	apart, together := false, false
	for _, d := range r.Decays {
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
