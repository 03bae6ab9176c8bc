package calc

import "beadspan/stats/survival"

// restrictedMean is the mean of lives counted up to a time at most.
type restrictedMean struct {
	Tau  Number `json:"tau"`
	Mean Number `json:"rmst"`
	SE   Number `json:"se"`
	limitsPair
}

func newRestrictedMean(m survival.RestrictedMean) restrictedMean {
	return restrictedMean{Number(m.Tau), Number(m.Mean), Number(m.SE), limitsPair{Number(m.Lower), Number(m.Upper)}}
}

// meanDifference compares the restricted means of two groups.
type meanDifference struct {
	Tau        Number `json:"tau"`
	A          string `json:"a"`
	B          string `json:"b"`
	Difference Number `json:"difference"` // A less B
	SE         Number `json:"se"`
	limitsPair
	Z Number `json:"z"`
	P Number `json:"p_value"`
}

// compareMeans compares each two groups; means has a list for each time, with
// a mean for each group.
func (r *KaplanMeierResult) compareMeans(means [][]survival.RestrictedMean) error {
	r.Differences = []meanDifference{}
	for _, ofGroups := range means {
		for a := range ofGroups {
			for b := a + 1; b < len(ofGroups); b++ {
				d, err := ofGroups[a].Less(ofGroups[b])
				if err != nil {
					return err
				}
				r.Differences = append(r.Differences, meanDifference{
					Number(ofGroups[a].Tau), *r.Groups[a].Group, *r.Groups[b].Group,
					Number(d.Difference), Number(d.SE), limitsPair{Number(d.Lower), Number(d.Upper)}, Number(d.Z), Number(d.P),
				})
			}
		}
	}
	return nil
}

// means prints the restricted means and how they differ.
func (r *KaplanMeierResult) means(p *page) {
	var rows [][]string
	for _, c := range r.Groups {
		for _, m := range c.Means {
			rows = append(rows, []string{orAll(c.Group), short(m.Tau), short(m.Mean), short(m.SE), short(m.Lower), short(m.Upper), ""})
		}
	}
	for _, d := range r.Differences {
		rows = append(rows, []string{d.A + " less " + d.B, short(d.Tau), short(d.Difference), short(d.SE), short(d.Lower),
			short(d.Upper), probability(d.P)})
	}
	if len(rows) > 0 {
		p.table(1, []string{"Mean life", "up to", "mean", "SE", "lower", "upper", "p"}, rows)
	}
}

// orAll is a group's name, or what stands for it without groups.
func orAll(group *string) string {
	if group == nil {
		return "all"
	}
	return *group
}
