package web

import (
	"fmt"

	"beadspan/study"
)

// standingWhy says in words why a patch stands as it does.
func standingWhy(l *language, p study.Protocol, f study.Followed) []string {
	s := f.Span
	day := func(days float64) study.Day { return f.Patch.InService() + study.Day(days) }
	proven := s.Known && (s.LowerDays > s.EntryDays || s.Decided.LateEntry > 0 || s.Decided.LeftCensored == 0 && s.Standing != study.Unread)
	var why []string
	say := func(key string, named ...any) { why = append(why, l.text(key, named...)) }
	switch s.Standing {
	case study.Holding:
		if s.Known {
			say("why.holding", "day", day(s.LowerDays))
		}
	case study.Spent:
		switch {
		case !s.Known:
			say("why.spent_late")
		case s.Decided.LeftCensored > 0:
			say("why.spent_unproven", "day", day(s.UpperDays))
		default:
			say("why.spent", "held", day(s.LowerDays), "day", day(s.UpperDays))
		}
		if p.Confirm > 1 {
			why = append(why, l.plural("why.confirmed", p.Confirm))
		}
	case study.Doubtful:
		if s.Decided.Pending > 0 {
			say("why.pending")
		} else {
			say("why.unproven")
		}
	case study.Unread:
		say("meaning.unread")
	}
	if s.Ended != "" {
		say("why.ended", "care", l.text(fmt.Sprintf("care.%s", s.Ended)), "day", s.EndedOn)
		if proven {
			say("why.holding", "day", day(s.LowerDays))
		}
	}
	if s.Known && s.Decided.LateEntry > 0 {
		say("why.late", "day", day(s.EntryDays))
	}
	if n := s.Decided.Masked; n > 0 {
		why = append(why, l.plural("why.masked", n))
	}
	for _, r := range s.Reviews {
		say(fmt.Sprintf("review.%s", r.What), "day", r.Day)
	}
	return why
}
