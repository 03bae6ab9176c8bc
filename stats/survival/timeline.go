package survival

import (
	"iter"
	"math"
	"slices"
	"sort"
)

// timeline is what was seen of exact and right-censored lives, in order of time.
type timeline struct {
	lasts    []sight // the last of each life: its end or its censoring
	entries  []sight // of late entrants
	times    int     // distinct ones among lasts, before merging
	weighted bool    // some weight is not 1
}

// newTimeline validates spans and makes equal the times that differ by rounding
// only.
func newTimeline(spans []Span) (*timeline, error) {
	l, err := sorted(spans)
	if err != nil {
		return nil, err
	}
	if spread := l.look(); spread.hasTies() {
		if err := notAtEntry(spans, mergeSights(l.inOrder(), spread.gap())); err != nil {
			return nil, err
		}
	}
	return l, nil
}

func sorted(spans []Span) (*timeline, error) {
	if len(spans) == 0 {
		return nil, ErrNoSpans
	}
	l := &timeline{lasts: make([]sight, len(spans))}
	late := 0
	for i := range spans {
		s := &spans[i]
		if !s.sound() || !s.exact() && !s.rightCensored() {
			return nil, validateExact(spans)
		}
		l.lasts[i] = newSight(s.Lower, s.exact(), s.Lives())
		if s.Lives() != 1 {
			l.weighted = true
		}
		if s.Entry > 0 {
			late++
		}
	}
	l.lasts = sortSights(l.lasts)
	if late == 0 {
		return l, nil
	}
	l.entries = make([]sight, 0, late)
	for i := range spans {
		if s := &spans[i]; s.Entry > 0 {
			l.entries = append(l.entries, newSight(s.Entry, false, s.Lives()))
		}
	}
	l.entries = sortSights(l.entries)
	return l, nil
}

// inOrder yields entries and lasts together, in order of time.
func (l *timeline) inOrder() iter.Seq[*sight] {
	return func(yield func(*sight) bool) {
		entry := 0
		for i := range l.lasts {
			for ; entry < len(l.entries) && l.entries[entry].key <= l.lasts[i].key; entry++ {
				if !yield(&l.entries[entry]) {
					return
				}
			}
			if !yield(&l.lasts[i]) {
				return
			}
		}
		// No entry is left: none is later than its own life's last.
	}
}

// look counts the times of lasts and tells how close any two times lie, entries
// among them.
func (l *timeline) look() *spread {
	spread := newSpread()
	for s := range l.inOrder() {
		spread.add(s.time())
	}
	last := -1.0
	for i := range l.lasts {
		if t := l.lasts[i].time(); t != last {
			l.times++
			last = t
		}
	}
	return spread
}

// stretch is where several times have become the first of them.
type stretch struct{ from, to float64 }

// mergeSights gives times of which each lies no further than gap from the next
// the first of them, and returns where it did.
func mergeSights(inOrder iter.Seq[*sight], gap float64) (merged []stretch) {
	at := stretch{math.Inf(-1), math.Inf(-1)}
	for s := range inOrder {
		t := s.time()
		switch {
		case t-at.to > gap:
			at = stretch{t, t}
			continue
		case t == at.from: // and still at.to
			continue
		case at.to == at.from:
			merged = append(merged, at)
		}
		at.to = t
		merged[len(merged)-1] = at
		*s = newSight(at.from, s.ended(), s.weight)
	}
	return merged
}

// notAtEntry returns a *SpanError for the first life that ended at its entry
// now that the stretches have become single times.
func notAtEntry(spans []Span, merged []stretch) error {
	widest := 0.0
	for _, m := range merged {
		widest = max(widest, m.to-m.from)
	}
	for i, s := range spans {
		if s.Entry == 0 || !s.exact() || s.Upper-s.Entry > widest {
			continue
		}
		at := sort.Search(len(merged), func(j int) bool { return merged[j].to >= s.Upper })
		if at < len(merged) && merged[at].from <= s.Entry {
			return &SpanError{Index: i, Span: s, Reason: endedAtEntry + butForRounding}
		}
	}
	return nil
}

// steps returns a Step for each time at which something was last seen, with
// its counts but no estimate.
func (l *timeline) steps() []Step {
	steps := make([]Step, 0, l.times)
	for _, s := range l.lasts {
		t := s.time()
		if len(steps) == 0 || steps[len(steps)-1].Time != t {
			steps = append(steps, Step{Time: t})
		}
		if at := &steps[len(steps)-1]; s.ended() {
			at.Events += s.weight
		} else {
			at.Censored += s.weight
		}
	}
	return steps
}

// heads counts lives at one time, whatever their weights.
type heads struct{ ended, left int }

// heads are those of the steps, in their order; nil where all weights are 1 and
// the steps tell themselves.
func (l *timeline) heads() []heads {
	if !l.weighted {
		return nil
	}
	of := make([]heads, 0, l.times)
	last := -1.0
	for _, s := range l.lasts {
		if t := s.time(); t != last {
			of = append(of, heads{})
			last = t
		}
		at := &of[len(of)-1]
		at.left++
		if s.ended() {
			at.ended++
		}
	}
	return of
}

// arrival is a time at which late entrants come in.
type arrival struct {
	time   float64
	before float64 // lives at risk up to and including it
}

// crowd is how many lives there are at a time, going back. Counts of heads
// beside the weights tell when there is nobody, where rounding would leave a
// rest of weights that are fractions.
type crowd struct {
	lives float64
	heads int
}

func (c *crowd) leave(lives float64) {
	c.lives -= lives
	c.heads--
	if c.heads == 0 {
		c.lives = 0
	}
}

// risk fills in how many lives are at risk at each step, and returns how many
// are when late entrants come in. It goes back in time, so that rounding errors
// are those of the few lives left, not of the many that have gone.
func (l *timeline) risk(steps []Step, of []heads) []arrival {
	var arrivals []arrival
	var c crowd
	entries := l.entries
	for len(entries) > 0 && entries[0].time() == 0 { // no late entrants but for rounding
		entries = entries[1:]
	}
	for i := len(steps) - 1; i >= 0; i-- {
		s := &steps[i]
		arrivals, entries = c.back(s.Time, arrivals, entries)
		c.lives += s.Events + s.Censored
		ended := 0
		if of == nil {
			c.heads += int(s.Events + s.Censored)
			ended = int(s.Events)
		} else {
			c.heads += of[i].left
			ended = of[i].ended
		}
		// Who enters at the very time is not at risk, even if censored at it.
		for len(entries) > 0 && entries[len(entries)-1].time() == s.Time {
			c.leave(entries[len(entries)-1].weight)
			entries = entries[:len(entries)-1]
		}
		if c.heads == ended {
			c.lives = s.Events
		}
		s.AtRisk = c.lives
	}
	arrivals, _ = c.back(0, arrivals, entries)
	slices.Reverse(arrivals)
	return arrivals
}

// back takes out of the crowd those who entered after a time, latest first, and
// notes when.
func (c *crowd) back(to float64, arrivals []arrival, entries []sight) ([]arrival, []sight) {
	for len(entries) > 0 && entries[len(entries)-1].time() > to {
		e := entries[len(entries)-1]
		entries = entries[:len(entries)-1]
		c.leave(e.weight)
		if last := len(arrivals) - 1; last >= 0 && arrivals[last].time == e.time() {
			arrivals[last].before = c.lives
		} else {
			arrivals = append(arrivals, arrival{e.time(), c.lives})
		}
	}
	return arrivals, entries
}
