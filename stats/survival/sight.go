package survival

import (
	"cmp"
	"math"
	"slices"
)

// sight is one thing seen at one time: a life's end, its censoring or its entry.
type sight struct {
	// key orders sights by time. It holds the bits of the time, of which a
	// time of 0 or more needs all but the sign's; in the place of that the
	// lowest tells an end from a censoring.
	key    uint64
	weight float64
}

func newSight(time float64, ended bool, weight float64) sight {
	key := math.Float64bits(time) << 1
	if ended {
		key |= 1
	}
	return sight{key, weight}
}

func (s sight) time() float64 { return math.Float64frombits(s.key >> 1) }

func (s sight) ended() bool { return s.key&1 == 1 }

const (
	digitBits = 11
	digits    = (64 + digitBits - 1) / digitBits
	// below fewSights a comparing sort is faster.
	fewSights = 512
)

// sortSights puts sights in order of time: by their keys' digits, the lowest
// first, each pass keeping the order that the one before made. Whole days share
// most digits, and such passes are left out.
func sortSights(sights []sight) []sight {
	if len(sights) < fewSights {
		slices.SortFunc(sights, func(a, b sight) int { return cmp.Compare(a.key, b.key) })
		return sights
	}
	var counts [digits][1 << digitBits]int
	for _, s := range sights {
		for d := range digits {
			counts[d][s.key>>(d*digitBits)&(1<<digitBits-1)]++
		}
	}
	from, to := sights, []sight(nil)
	for d := range digits {
		shift := d * digitBits
		places := &counts[d]
		if places[from[0].key>>shift&(1<<digitBits-1)] == len(from) {
			continue
		}
		if to == nil {
			to = make([]sight, len(from))
		}
		next := 0
		for digit, n := range places {
			places[digit] = next
			next += n
		}
		for _, s := range from {
			digit := s.key >> shift & (1<<digitBits - 1)
			to[places[digit]] = s
			places[digit]++
		}
		from, to = to, from
	}
	return from
}
