package simulate

import "beadspan/study"

// panel is a part of a vehicle that takes a patch.
type panel struct {
	code, name  string
	orientation study.Orientation
}

var allPanels = []panel{
	{"BN", "bonnet", study.Horizontal},
	{"RF", "roof", study.Horizontal},
	{"BL", "boot lid", study.Horizontal},
	{"LD", "left door", study.Vertical},
	{"RD", "right door", study.Vertical},
	{"LW", "left wing", study.Vertical},
	{"RW", "right wing", study.Vertical},
	{"TG", "tailgate", study.Vertical},
}

func patchesPerVehicle() []weighted[int] {
	return []weighted[int]{{0.22, 1}, {0.36, 2}, {0.24, 3}, {0.18, 4}}
}

func substrates() []weighted[study.Substrate] {
	return []weighted[study.Substrate]{{0.60, study.Film}, {0.30, study.Paint}, {0.10, study.Wrap}}
}

func finishes() []weighted[study.Finish] {
	return []weighted[study.Finish]{{0.80, study.Gloss}, {0.14, study.Satin}, {0.06, study.Matte}}
}

// panels draws n panels of one vehicle, each panel as likely as the others.
func (c chance) panels(n int) []panel {
	chosen := make([]panel, n)
	for i, at := range c.Perm(len(allPanels))[:n] {
		chosen[i] = allPanels[at]
	}
	return chosen
}

// products draws what goes on n panels: all three coatings before one comes
// twice, so that most vehicles compare two of them under one driver.
func (c chance) products(n int) []product {
	coated := products()[:3]
	c.Shuffle(len(coated), func(i, j int) { coated[i], coated[j] = coated[j], coated[i] })
	chosen := make([]product, n)
	for i := range chosen {
		chosen[i] = coated[i%len(coated)]
	}
	return chosen
}
