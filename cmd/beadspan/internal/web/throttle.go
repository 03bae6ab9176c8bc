package web

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// throttle slows down whoever tries passwords: by the name that is tried, and
// by the address from which it comes. It forgets whom it hasn't seen for long,
// and the longest unseen when there are too many.
type throttle struct {
	now func() time.Time

	mu    sync.Mutex
	known map[string]*attempts
}

type attempts struct {
	limit *rate.Limiter
	seen  time.Time
}

// How often a name and an address may be tried: a few times at once, then at
// a pace at which a guesser gets nowhere and somebody who mistypes hardly
// notices.
const (
	triesOfName    = 8
	nameEvery      = 30 * time.Second
	triesOfAddress = 30
	addressEvery   = 5 * time.Second

	mostKnown   = 20_000
	forgetAfter = 2 * time.Hour
)

func newThrottle() *throttle {
	return &throttle{now: time.Now, known: map[string]*attempts{}}
}

// allow reports whether the name may be tried from the address now, and counts
// the try. A name that was tried too often is refused from every address.
func (t *throttle) allow(name, address string) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	if len(t.known) >= mostKnown {
		t.forget(now)
	}
	byAddress := t.of("address "+address, rate.Every(addressEvery), triesOfAddress, now)
	if !byAddress.AllowN(now, 1) {
		return false // and the name isn't made to pay for it
	}
	return t.of("name "+name, rate.Every(nameEvery), triesOfName, now).AllowN(now, 1)
}

// succeeded gives the name its tries back.
func (t *throttle) succeeded(name string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.known, "name "+name)
}

func (t *throttle) of(key string, every rate.Limit, burst int, now time.Time) *rate.Limiter {
	x, has := t.known[key]
	if !has {
		x = &attempts{limit: rate.NewLimiter(every, burst)}
		t.known[key] = x
	}
	x.seen = now
	return x.limit
}

// pace is how often something may be done: so many times at once, then at a
// steady rate.
type pace struct {
	atOnce int
	every  time.Duration
}

// The paces at which the API may be called: by one token or account, which may
// send the queue of a long day at once, and from one address, behind which a
// whole shop may be.
var (
	callsOfOne     = pace{120, 50 * time.Millisecond}
	callsOfAddress = pace{600, 10 * time.Millisecond}
)

// allowCall reports whether there may be one more call by that key now, and
// counts it.
func (t *throttle) allowCall(key string, p pace) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	if len(t.known) >= mostKnown {
		t.forget(now)
	}
	return t.of(key, rate.Every(p.every), p.atOnce, now).AllowN(now, 1)
}

// forget drops whom it hasn't seen for long, or everybody when that isn't
// enough: a guesser who fills the table gains a few attempts, and no more.
func (t *throttle) forget(now time.Time) {
	for key, x := range t.known {
		if now.Sub(x.seen) > forgetAfter {
			delete(t.known, key)
		}
	}
	if len(t.known) >= mostKnown {
		clear(t.known)
	}
}
