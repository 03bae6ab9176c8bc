package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"beadspan/study"
)

// qualitySection tells how good the data are.
func (r *Report) qualitySection() Section {
	q := r.Quality
	s := Section{Name: "quality", Heading: "How good the data are"}
	s.Show(q.stageTable(), q.missingTable(r.Decided))
	s.Explain("Only a reading after a decontamination wash can show that a patch is spent; a pass shows at any stage that it holds.")
	s.Head("Time between readings")
	s.Say(q.gapWords())
	s.Show(q.gapTable())
	if q.Digits.Angles > 0 {
		s.Head("Drops and operators")
		s.List(q.scatterWords()...)
		s.Show(q.operatorTable())
		if len(q.Operators) > 0 {
			s.Explain("Scatter: standard deviation of a single drop within a reading. Offset: by how much the operator read clean panels higher than the straight line " +
				"between the readings before and after, both by others, on average; it rests on so many readings, and on who those others were. " +
				"Ending in 0 or 5: of the angles in whole degrees.")
		}
		s.Fold("Last digits of the angles", q.Digits.table())
	}
	s.Head("Readings that contradict each other")
	s.Show(contradictionTable(r.Reviews))
	if len(r.Reviews) == 0 {
		s.Say("None: no reading contradicts another.")
	}
	return s
}

func stageWords(stages []study.Stage) string {
	var words []string
	for _, stage := range stages {
		words = append(words, string(stage))
	}
	return listed(words)
}

func (q *Quality) stageTable() Table {
	t := Table{Caption: "Stages at which patches were read on one day", Head: []string{"Stages", "Days", "Share"}}
	all := 0
	for _, row := range q.Stages {
		all += row.Visits
	}
	for _, row := range q.Stages {
		t.add(stageWords(row.Stages), number(row.Visits), percent(float64(row.Visits)/float64(all)))
	}
	if len(q.Stages) > 1 {
		t.add("All", number(all), percent(1))
	}
	return t
}

func (q *Quality) missingTable(d study.Decided) Table {
	t := Table{Caption: "What is missing", Head: []string{"What", "How many", "Of", "Share"}}
	add := func(what string, n, of int, unit string) {
		share := "–"
		if of > 0 {
			share = percent(float64(n) / float64(of))
		}
		t.add(what, number(n), number(of)+" "+unit, share)
	}
	add("Failed at arrival or after the wash, without a decon reading", d.DoubtfulVisits, d.Visits, "visits")
	add("A fail that waits to be confirmed", d.Pending, d.Patches, "patches")
	add("Without what the protocol judges by", q.WithoutMetric, q.Readings, "readings")
	add("Without an operator", q.NoOperator, q.Checkups, "checkups")
	add(fmt.Sprintf("First read more than %d days after service began", study.FirstReadingDays), q.ReadLate, d.Patches, "patches")
	return t
}

func (q *Quality) gapWords() string {
	if q.MedianGap == nil {
		return "No coated patch was read on two days yet."
	}
	return fmt.Sprintf("Half of the times between two readings of a coated patch are %.0f days or less; the longest is %.0f days. A life is known no better than to the time between two readings.",
		*q.MedianGap, *q.LongestGap)
}

func (q *Quality) gapTable() Table {
	t := Table{Caption: "Days between readings of a coated patch", Head: []string{"Days", "How often", "Share"}}
	all := 0
	for _, row := range q.Gaps {
		all += row.Gaps
	}
	from := 1
	for _, row := range q.Gaps {
		words := fmt.Sprintf("%d to %d", from, row.Days)
		if row.Days == 0 {
			words = fmt.Sprintf("%d or more", from)
		}
		t.add(words, number(row.Gaps), percent(float64(row.Gaps)/float64(all)))
		from = row.Days + 1
	}
	return t
}

// scatterWords tell of drops within a reading, and of readings between operators.
func (q *Quality) scatterWords() []string {
	var words []string
	few := q.Drops[1] + q.Drops[2]
	read := q.Readings - q.Drops[0]
	words = append(words, fmt.Sprintf("%s of %s with a contact angle have fewer than three drops.", number(few), count(read, "reading", "readings")))
	if s := q.Repeatability; s.DF > 0 {
		words = append(words, fmt.Sprintf("Repeatability: a single drop scatters by %s about the mean of its reading (standard deviation, %s degrees of freedom). In %s the drops scatter by more than %d°, where another drop is due.",
			tenths(s.SD), number(s.DF), count(q.Wide, "reading", "readings"), study.MostSpreadDeg))
	}
	alone, mixed := q.Raters.Alone, q.Raters.Mixed
	if alone.DF > 0 && mixed.DF > 0 {
		words = append(words, fmt.Sprintf("Between operators: a reading of a clean panel lies %s off the readings before and after it where one operator took all three (standard deviation, %s), and %s where the others took those (%s). What the second has more is how differently they read.",
			tenths(alone.SD), count(alone.DF, "reading", "readings"), tenths(mixed.SD), count(mixed.DF, "reading", "readings")))
	} else {
		words = append(words, "Between operators: nothing can be told, since too few took turns at reading the same clean panels.")
	}
	return append(words, q.Digits.words())
}

func (d Digits) words() string {
	if d.Whole == 0 {
		return fmt.Sprintf("Rounding: none of %s was written down in whole degrees.", count(d.Angles, "angle", "angles"))
	}
	return fmt.Sprintf("Rounding: %s of %s are in whole degrees (a tenth of them would be, if all were read to tenths); of these %s end in 0 or 5, where a fifth would by chance.",
		number(d.Whole), count(d.Angles, "angle", "angles"), percent(float64(d.Round())/float64(d.Whole)))
}

func (d Digits) table() Table {
	t := Table{Caption: "Last digits of angles in whole degrees", Head: []string{"Digit", "How often", "Share"}}
	if d.Whole == 0 {
		return t
	}
	for digit, n := range d.Last {
		t.add(fmt.Sprint(digit), number(n), percent(float64(n)/float64(d.Whole)))
	}
	return t
}

func (q *Quality) operatorTable() Table {
	t := Table{Caption: "Operators", Head: []string{"Operator", "Checkups", "Readings", "Drops a reading", "Scatter", "Offset", "Rests on", "Ending in 0 or 5"}}
	for _, o := range q.Operators {
		drops, scatter, offset, restsOn, round := "–", "–", "–", "–", "–"
		if o.Readings > 0 {
			drops = fmt.Sprintf("%.1f", float64(o.Drops)/float64(o.Readings))
		}
		if !math.IsNaN(o.Repeatability.SD) {
			scatter = tenths(o.Repeatability.SD)
		}
		if o.Offset != nil {
			offset, restsOn = signedDegrees(o.Offset.Mean), number(o.Offset.N)
		}
		if o.Digits.Whole > 0 {
			round = percent(float64(o.Digits.Round()) / float64(o.Digits.Whole))
		}
		t.add(o.Code, number(o.Checkups), number(o.Readings), drops, scatter, offset, restsOn, round)
	}
	return t
}

// signedDegrees writes a difference of angles with its sign.
func signedDegrees(d float64) string {
	return strings.Replace(fmt.Sprintf("%+.1f°", d), "-", "−", 1)
}

// reviewCount counts the reviews of one kind, of which review is the first.
type reviewCount struct {
	review Review
	visits int
}

func countReviews(reviews []Review) []reviewCount {
	var counts []reviewCount
	for _, r := range reviews {
		at := slices.IndexFunc(counts, func(c reviewCount) bool { return c.review.What == r.What })
		if at < 0 {
			at = len(counts)
			counts = append(counts, reviewCount{r, 0})
		}
		counts[at].visits++
	}
	return counts
}

func contradictionTable(reviews []Review) Table {
	t := Table{Caption: "Contradictions, by kind", Head: []string{"What was seen", "How often", "What to do"}}
	for _, c := range countReviews(reviews) {
		t.add(c.review.Seen(), number(c.visits), c.review.Advice())
	}
	return t
}
