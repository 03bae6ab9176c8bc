package reports

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
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

// WriteReviewsCSV writes all that is to be looked at, a line each.
func (r *Report) WriteReviewsCSV(w io.Writer) error {
	lines := [][]string{{"vehicle", "patch", "date", "kind", "seen", "advice"}}
	for _, review := range r.Reviews {
		lines = append(lines, []string{review.Vehicle, review.Patch, review.Day.String(), string(review.What), review.Seen(), review.Advice()})
	}
	if err := csv.NewWriter(w).WriteAll(lines); err != nil {
		return fmt.Errorf("write reviews as csv: %w", err)
	}
	return nil
}

// reviewGroup is all reviews of one kind, for the page.
type reviewGroup struct {
	Heading, Advice string
	Table           Table
}

// mostReviews is how many reviews of a kind the page lists: a large fleet has
// tens of thousands.
const mostReviews = 200

// reviewGroups sorts reviews by kind, those first that there are most of. Of
// many it lists the latest.
func reviewGroups(reviews []Review) []reviewGroup {
	byKind := map[study.ReviewKind][]Review{}
	var kinds []study.ReviewKind
	for _, r := range reviews {
		if byKind[r.What] == nil {
			kinds = append(kinds, r.What)
		}
		byKind[r.What] = append(byKind[r.What], r)
	}
	slices.SortStableFunc(kinds, func(a, b study.ReviewKind) int { return cmp.Compare(len(byKind[b]), len(byKind[a])) })
	var groups []reviewGroup
	for _, kind := range kinds {
		groups = append(groups, newReviewGroup(byKind[kind]))
	}
	return groups
}

func newReviewGroup(reviews []Review) reviewGroup {
	seen, n := reviews[0].Seen(), len(reviews)
	g := reviewGroup{
		Heading: seen + ": " + count(n, "visit", "visits"),
		Advice:  reviews[0].Advice(),
		Table:   Table{Caption: seen, Head: []string{"Vehicle", "Patch", "Day"}},
	}
	if n > mostReviews {
		reviews = slices.Clone(reviews)
		slices.SortStableFunc(reviews, func(a, b Review) int { return cmp.Compare(b.Day, a.Day) })
		reviews = reviews[:mostReviews]
		g.Table.Caption += fmt.Sprintf(": the latest %d of %s, all of which are in %s", mostReviews, number(n), ReviewsFile)
	}
	for _, r := range reviews {
		g.Table.add(r.Vehicle, r.Patch, r.Day.String())
	}
	return g
}

// ReviewsFile is the name under which the page expects what WriteReviewsCSV
// writes beside it.
const ReviewsFile = "reviews.csv"
