package reports

import "strings"

// climateMeaning says what a Köppen-Geiger class stands for; empty for what is
// no class. The words follow the legend of Beck et al., Scientific Data 10
// (2023) 724.
func climateMeaning(class string) string {
	if len(class) < 2 {
		return ""
	}
	var words []string
	for i := range class {
		word := climateLetters[class[:1]][class[i:i+1]]
		if i == 0 {
			word = climateGroups[class[:1]]
		}
		if word == "" {
			return ""
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

var climateGroups = map[string]string{"A": "tropical", "B": "arid", "C": "temperate", "D": "cold", "E": "polar"}

// climateLetters tells the second and third letters of each group.
var climateLetters = map[string]map[string]string{
	"A": {"f": "rainforest", "m": "monsoon", "w": "savannah"},
	"B": {"W": "desert", "S": "steppe", "h": "hot", "k": "cold"},
	"C": seasonLetters,
	"D": seasonLetters,
	"E": {"T": "tundra", "F": "frost"},
}

var seasonLetters = map[string]string{
	"s": "dry summer", "w": "dry winter", "f": "no dry season",
	"a": "hot summer", "b": "warm summer", "c": "cold summer", "d": "very cold winter",
}
