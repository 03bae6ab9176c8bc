package reports

import (
	"fmt"
	"math"
	"strings"
)

// Finding says in one sentence how long a row's patches last, for a title.
func (row LifeRow) Finding() string {
	who := row.Group.String()
	m := row.Median
	switch {
	case row.Patches == 0:
		return fmt.Sprintf("Nothing is known of %s yet", who)
	case row.Patches == 1 && row.Spent == 0:
		return fmt.Sprintf("%s’s only patch was not spent within %s months", who, months(row.LongestMonths))
	case m == nil && row.Spent == 0:
		return fmt.Sprintf("None of %s’s %s was spent within %s months", who, patches(row.Patches), months(row.LongestMonths))
	case m == nil:
		return fmt.Sprintf("%s of %s’s %s spent within %s months", number(row.Spent), who, patches(row.Patches), months(row.LongestMonths))
	case math.IsInf(m.Months, 1):
		return fmt.Sprintf("Fewer than half of %s’s patches were spent within the %s months followed", who, months(row.LongestMonths))
	}
	return fmt.Sprintf("Half of %s’s patches were spent by %s months%s", who, months(m.Months), inBrackets(m.Limits))
}

// findingOfAll says in one sentence how long the patches of several rows last.
// name tells a row's name, preposition what comes before it. Rows without a
// median are not spoken of.
func findingOfAll(whose, preposition string, rows []LifeRow, name func(LifeRow) string) string {
	var spent, holding []string
	for _, row := range rows {
		switch {
		case row.Median == nil:
		case math.IsInf(row.Median.Months, 1):
			holding = append(holding, fmt.Sprintf("%s %s (%s months)", preposition, name(row), months(row.LongestMonths)))
		default:
			unit := " months"
			if len(spent) > 0 {
				unit = ""
			}
			spent = append(spent, fmt.Sprintf("%s%s %s %s%s", months(row.Median.Months), unit, preposition, name(row), inBrackets(row.Median.Limits)))
		}
	}
	fewer := "ewer than half were spent within the time followed " + listed(holding)
	switch {
	case len(spent) == 0:
		return "F" + fewer
	case len(holding) == 0:
		return "Half of " + whose + " were spent by " + listed(spent)
	}
	return "Half of " + whose + " were spent by " + listed(spent) + "; f" + fewer
}

func inBrackets(l *Limits) string {
	if l == nil {
		return ""
	}
	return " (" + monthLimits(*l) + ")"
}

// Answer tells how long a row's patches last in whole sentences: the estimate,
// how sure it is, and from how many.
func (row LifeRow) Answer() string {
	return row.Finding() + ". " + row.Detail()
}

// Detail is what Answer says beside the finding.
func (row LifeRow) Detail() string {
	var sentences []string
	say := func(format string, args ...any) { sentences = append(sentences, fmt.Sprintf(format, args...)) }
	m, n := row.Median, row.NobodyFailed
	switch {
	case n != nil:
		say("All %s vehicles followed for %g months still held then, so at least %s of such vehicles would, as far as so few can tell.",
			number(n.Vehicles), n.Months, percent(n.AtLeast))
	case m == nil && row.Patches > 0:
		say("That is too few for an estimate.")
	case m != nil && math.IsInf(m.Months, 1):
		say("How much longer half of them last is not known.")
	}
	for _, s := range []*Share{row.At12, row.At24} {
		if s != nil {
			say("After %g months %s still repelled water%s.", s.Months, outOfTen(s.Share), tenthLimits(s.Limits))
		}
	}
	say("Seen on %s of %s%s, followed for %s months at the longest.",
		patches(row.Patches), vehicles(row.Vehicles), spentOfThem(row.Spent), months(row.LongestMonths))
	return strings.Join(sentences, " ")
}

// spentOfThem is empty where the finding has said that none was.
func spentOfThem(spent int) string {
	if spent == 0 {
		return ""
	}
	return fmt.Sprintf(", %s of them spent", number(spent))
}

// outOfTen writes a share as a natural frequency.
func outOfTen(share float64) string {
	switch n := math.Round(10 * share); {
	case n == 0:
		return "fewer than 1 of 20"
	case n == 10:
		return "at least 19 of 20"
	default:
		return fmt.Sprintf("about %.0f of 10", n)
	}
}

func tenthLimits(l *Limits) string {
	if l == nil {
		return ""
	}
	return " (likely " + percentLimits(*l) + ")"
}

// visitDateWords says what the mistake of taking the checkup's day for the day
// of the end would make of the median; empty when that isn't known.
func (row LifeRow) visitDateWords() string {
	v := row.VisitDate
	if v == nil {
		return ""
	}
	side := "longer"
	if v.BiasMonths < 0 {
		side = "shorter"
	}
	return fmt.Sprintf("%s months for %s (%.1f %s)", months(v.MedianMonths), row.Group, math.Abs(v.BiasMonths), side)
}
