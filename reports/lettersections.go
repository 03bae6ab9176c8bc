package reports

import (
	"slices"

	"beadspan/study"
)

// next says what to do, the first first.
func (l *Letter) next(v *voice) letterSection {
	s := letterSection{Heading: v.say("next.head", nil)}
	if spent := l.panelsThatAre(study.Spent); len(spent) > 0 {
		s.Lines = append(s.Lines, v.say("next.recoat", v.list(spent)))
	}
	var now []string
	for _, due := range l.Due[:min(mostLetterDue, len(l.Due))] {
		what := v.say("due."+string(due.Kind), nil)
		if due.Since <= l.On {
			now = append(now, what)
			continue
		}
		s.Lines = append(s.Lines, v.say("next.day", facts{"Day": due.Since, "What": what}))
	}
	if len(now) > 0 {
		s.Lines = slices.Insert(s.Lines, 0, v.say("next.now", v.list(now)))
	}
	checked := slices.ContainsFunc(l.Due, func(d study.Due) bool { return d.Kind == study.DueCheckup })
	if l.NextCheckup != nil && !checked && *l.NextCheckup > l.On {
		s.Lines = append(s.Lines, v.say("next.checkup", *l.NextCheckup))
	}
	if len(s.Lines) == 0 {
		s.Lines = []string{v.say("next.none", nil)}
	}
	return s
}

// panelsThatAre names the panels of a standing.
func (l *Letter) panelsThatAre(s study.Standing) []string {
	var names []string
	for _, p := range l.Panels {
		if p.Standing == s {
			names = append(names, p.Panel)
		}
	}
	return names
}

// seen says what was seen at washes: dirt that hid the coating above all.
func (l *Letter) seen(v *voice) letterSection {
	s := letterSection{Heading: v.say("seen.head", nil)}
	doubtful := l.panelsThatAre(study.Doubtful)
	switch {
	case l.Unwashed:
		s.Lines = append(s.Lines, v.say("seen.unwashed", nil))
	case l.MaskedVisits > 0:
		s.Lines = append(s.Lines, v.say("seen.masked", facts{"N": l.MaskedVisits, "Panels": v.list(l.MaskedPanels)}))
	case len(doubtful) == 0:
		s.Lines = append(s.Lines, v.say("seen.clear", nil))
	}
	if len(doubtful) > 0 {
		s.Lines = append(s.Lines, v.say("seen.doubt", v.list(doubtful)))
	}
	if len(l.Toppers) > 0 {
		var days []string
		for _, day := range l.Toppers[max(0, len(l.Toppers)-2):] {
			days = append(days, v.date(day))
		}
		s.Lines = append(s.Lines, v.say("seen.topper", v.list(days)))
	}
	if l.Reviewed > 0 {
		s.Lines = append(s.Lines, v.say("seen.reviewed", l.Reviewed))
	}
	return s
}

// shortens says what is known to shorten a coating's life. Common practice, no
// source.
func (l *Letter) shortens(v *voice) letterSection {
	s := letterSection{Heading: v.say("shorten.head", nil)}
	for _, why := range []struct {
		key   string
		holds bool
	}{
		{"brush", true}, {"dirt", true}, {"sun", l.Garage != study.Indoors}, {"salt", l.SaltedRoads},
		{"polish", true}, {"soft", l.SoftGround}, {"source", true},
	} {
		if why.holds {
			s.Lines = append(s.Lines, v.say("shorten."+why.key, nil))
		}
	}
	return s
}

// notMeasured says what nobody looked at or wrote down.
func (l *Letter) notMeasured(v *voice) letterSection {
	s := letterSection{Heading: v.say("not.head", nil), Lines: []string{v.say("not.always", nil)}}
	var missing []string
	for _, column := range l.NotLogged {
		missing = append(missing, v.say("log."+column, nil))
	}
	if len(missing) > 0 {
		s.Lines = append(s.Lines, v.say("not.logged", v.list(missing)))
	}
	return s
}
