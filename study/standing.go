package study

// Standing is what is known of a patch today.
type Standing string

// The standings.
const (
	Holding  Standing = "holding"
	Doubtful Standing = "doubtful" // failed last, without proof: decon wash, then read again
	Spent    Standing = "spent"
	Ended    Standing = "ended" // by care, before it was seen spent
	Unread   Standing = "unread"
)

// Standings lists the standings.
func Standings() []Standing { return []Standing{Holding, Doubtful, Spent, Ended, Unread} }

func standingOf(f followed, ended bool) Standing {
	switch {
	case f.spent:
		return Spent
	case ended:
		return Ended
	case f.visits == 0:
		return Unread
	case f.pending || f.last == provesNothing:
		return Doubtful
	}
	return Holding
}
