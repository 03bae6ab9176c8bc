package reports

import (
	"cmp"
	"fmt"
	"slices"

	"beadspan/study"
)

// Review is one thing that somebody should look at.
type Review struct {
	Vehicle, Patch string // codes
	Day            study.Day
	What           study.ReviewKind
}

// reviewsOf lists what is to be looked at, by vehicle, patch and day.
func reviewsOf(followed []study.Followed) []Review {
	var reviews []Review
	for _, f := range followed {
		for _, r := range f.Span.Reviews {
			reviews = append(reviews, Review{f.Vehicle.Code, f.Patch.Code, r.Day, r.What})
		}
	}
	slices.SortStableFunc(reviews, func(a, b Review) int {
		return cmp.Or(cmp.Compare(a.Vehicle, b.Vehicle), cmp.Compare(a.Patch, b.Patch), cmp.Compare(a.Day, b.Day))
	})
	return reviews
}

// Seen says what was seen, in plain words.
func (r Review) Seen() string { return reviewWords[r.What].seen }

// Advice says what to do about it.
func (r Review) Advice() string { return reviewWords[r.What].advice }

var reviewWords = map[study.ReviewKind]struct{ seen, advice string }{
	study.CancelledFail: {"Failed clean, then passed",
		"One of the two readings is off. Check the drops and the stage of both."},
	study.PassAfterSpent: {"Passed after it counted as spent",
		"Ask for a topper or a new coating that nobody logged."},
	study.ContraryPair: {"Passed before the decon wash, failed after it",
		"Look for shampoo residue or a topper that nobody logged."},
}

// reviewGroup is all reviews of one kind, for the page.
type reviewGroup struct {
	Heading, Advice string
	Table           Table
}

// reviewGroups sorts reviews by kind, those first that there are most of.
func reviewGroups(reviews []Review) []reviewGroup {
	byKind := map[study.ReviewKind]*reviewGroup{}
	var kinds []study.ReviewKind
	for _, r := range reviews {
		g := byKind[r.What]
		if g == nil {
			g = &reviewGroup{Advice: r.Advice(), Table: Table{Caption: r.Seen(), Head: []string{"Vehicle", "Patch", "Day"}}}
			byKind[r.What] = g
			kinds = append(kinds, r.What)
		}
		g.Table.add(r.Vehicle, r.Patch, r.Day.String())
	}
	var groups []reviewGroup
	for _, kind := range kinds {
		g := byKind[kind]
		g.Heading = fmt.Sprintf("%s: %s", g.Table.Caption, count(len(g.Table.Rows), "visit", "visits"))
		groups = append(groups, *g)
	}
	slices.SortStableFunc(groups, func(a, b reviewGroup) int { return cmp.Compare(len(b.Table.Rows), len(a.Table.Rows)) })
	return groups
}
