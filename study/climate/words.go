package climate

// Words says a Köppen-Geiger class in plain words, such as "temperate, no dry
// season, warm summer". It returns an empty text for what is no class.
func Words(class string) string {
	if len(class) < 2 {
		return ""
	}
	switch class[:1] {
	case "A":
		return map[string]string{
			"Af": "tropical, rain all year",
			"Am": "tropical, monsoon",
			"Aw": "tropical, a dry season",
		}[class]
	case "B":
		return map[string]string{
			"BWh": "hot desert",
			"BWk": "cold desert",
			"BSh": "hot steppe",
			"BSk": "cold steppe",
		}[class]
	case "C":
		return seasons("temperate", class)
	case "D":
		return seasons("cold winters", class)
	}
	return map[string]string{"ET": "polar, tundra", "EF": "polar, frost all year"}[class]
}

func seasons(zone, class string) string {
	if len(class) != 3 {
		return ""
	}
	dry := map[byte]string{'s': "dry summer", 'w': "dry winter", 'f': "no dry season"}[class[1]]
	heat := map[byte]string{
		'a': "hot summer", 'b': "warm summer", 'c': "short cool summer", 'd': "short cool summer, severe winter",
	}[class[2]]
	if dry == "" || heat == "" {
		return ""
	}
	return zone + ", " + dry + ", " + heat
}
