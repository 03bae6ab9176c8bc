package climate

import "strings"

// Search lists up to most cities whose name begins with what somebody has typed
// so far, whatever its case and accents, the largest first; then those with a
// further word that does, as in "Paulo" for São Paulo. A region or country may
// follow after a comma, as City has it. Where no name begins so, it lists those
// of nearly that spelling.
func (a *Atlas) Search(typed string, most int) []City {
	name, parts := nameParts(typed)
	wanted := fold(name)
	if wanted == "" {
		return nil
	}
	var found, within []City
	for i, c := range a.cities { // the largest come first
		if !c.isIn(parts) {
			continue
		}
		switch folded := a.folded[i]; {
		case strings.HasPrefix(folded, wanted):
			found = append(found, c)
		case strings.Contains(folded, " "+wanted):
			within = append(within, c)
		}
	}
	found = append(found, within...)
	if len(found) == 0 {
		found = a.near(name, parts)
	}
	return found[:min(len(found), most)]
}
