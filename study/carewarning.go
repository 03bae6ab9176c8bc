package study

import "fmt"

// WarningsOf says where care given to v leaves common practice (no source; the
// maker's sheet comes first): a wash within 7 days of coating, clay on film or
// wrap. Work on the day of coating came before the coating.
func (v Vehicle) WarningsOf(c Care) []Warning {
	var list warnings
	for _, p := range v.Patches {
		if (c.PatchID != nil && *c.PatchID != p.ID) || c.Day <= p.Applied {
			continue
		}
		if w, is := c.warningOn(p); is {
			list = append(list, w)
			break // the vehicle's other patches are warned of in one
		}
	}
	return list
}

func (c Care) warningOn(p Patch) (w Warning, is bool) {
	age := int(c.Day - p.Applied)
	switch {
	case c.Kind == Clay && (p.Substrate == Film || p.Substrate == Wrap):
		return Warning{"kind", fmt.Sprintf("clay on %s (patch %s)", p.Substrate, p.Code),
			"clay drags on film and wrap and mars them; an iron remover does the same work"}, true
	case c.Kind.washes() && age < washFreeDays:
		return Warning{"date", fmt.Sprintf("%s %s after coating (patch %s)", c.Kind.words(), counted(age, "day"), p.Code), noWashYet}, true
	}
	return Warning{}, false
}

// washes reports whether water and shampoo go over the panel.
func (k CareKind) washes() bool {
	return k == MaintenanceWash || k == IronRemover || k == DeconWash
}

// words is the kind as people say it.
func (k CareKind) words() string {
	switch k {
	case MaintenanceWash:
		return "maintenance wash"
	case IronRemover:
		return "iron remover"
	case DeconWash:
		return "decon wash"
	}
	return string(k)
}
