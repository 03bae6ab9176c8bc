package survival

import (
	"context"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
)

// inReplicates calls work for each of n replicates, on as many processors as
// there are, with a source of its own, and done, unless it is nil, after each. The
// sources are drawn beforehand, so that it does not matter who works on which.
// ctx ends the work between replicates, with its own error.
func inReplicates(ctx context.Context, n int, seed uint64, done func(), work func(b int, source *rand.Rand)) error {
	seeds := rand.New(rand.NewPCG(seed, 0))
	sources := make([]*rand.Rand, n)
	for b := range sources {
		sources[b] = rand.New(rand.NewPCG(seeds.Uint64(), seeds.Uint64()))
	}
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		workers.Go(func() {
			for b := int(next.Add(1)) - 1; b < n && ctx.Err() == nil; b = int(next.Add(1)) - 1 {
				work(b, sources[b])
				if done != nil {
					done()
				}
			}
		})
	}
	workers.Wait()
	return ctx.Err()
}
