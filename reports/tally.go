package reports

import "sync"

// tally counts the bootstrap replicates and the models that are done and tells of
// them. Its
// total is known before the work begins.
type tally struct {
	tell func(done, total int) // nil where nobody wants to know

	mu          sync.Mutex
	done, total int
}

func newTally(tell func(done, total int), plans ...lifePlan) *tally {
	t := &tally{tell: tell}
	for _, p := range plans {
		t.total += len(p.groups) * p.options.BootstrapReplicates
	}
	return t
}

// one counts one more replicate.
func (t *tally) one() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.set(t.done + 1)
}

// modelShare is for how many replicates the model of one coating's decay counts.
const modelShare = 100

// modelled counts one more model.
func (t *tally) modelled() { t.reach(t.done + modelShare) }

// reach counts replicates that were not needed, up to done of them in all.
func (t *tally) reach(done int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if done > t.done {
		t.set(done)
	}
}

func (t *tally) set(done int) {
	t.done = done
	if t.tell != nil {
		t.tell(t.done, t.total)
	}
}
