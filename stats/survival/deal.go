package survival

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// deal is how the groups' labels lie on clusters, and how else they could.
type deal struct {
	groups int
	whole  []float64 // score sum of each cluster that carries one group, centred
	label  []int     // its group
	shared []sharedCluster
	idle   int // clusters that carry one group and have nothing to be compared with

	wholeCounts float64 // what a whole cluster's sum counts beside a shared one's
	variance    [][]float64

	// labels are all that can be dealt anew, each for itself: the groups of the
	// whole clusters among them, and those within each shared one.
	labels [][]int
}

// sharedCluster carries several groups.
type sharedCluster struct {
	sums  []float64 // score sums of its groups, centred
	label []int     // the groups
	lives float64   // ∑ nᵍ − ∑ nᵍ²/n
}

// tally is what one cluster has of one group.
type tally struct {
	group        int
	lives, score float64
}

// newDeal sorts out which clusters carry which groups.
func newDeal(r *ratings, groups int) *deal {
	d := &deal{groups: groups, wholeCounts: 1}
	var whole []tally
	for _, cluster := range byCluster(r) {
		if len(cluster) == 1 {
			whole = append(whole, cluster[0])
		} else {
			d.shared = append(d.shared, newSharedCluster(cluster))
		}
	}
	d.compareWhole(whole)
	d.weigh(whole)
	if len(d.whole) > 0 {
		d.labels = append(d.labels, d.label)
	}
	for _, c := range d.shared {
		d.labels = append(d.labels, c.label)
	}
	return d
}

// byCluster adds up the scores of each cluster, by group. Clusters come in the
// order of what they hold, so that neither the order of the spans nor the
// numbers of the clusters matter.
func byCluster(r *ratings) [][]tally {
	clusters := map[int][]tally{}
	for i, s := range r.spans {
		c := clusters[s.Cluster]
		at := slices.IndexFunc(c, func(t tally) bool { return t.group == r.group[i] })
		if at < 0 {
			at = len(c)
			c = append(c, tally{group: r.group[i]})
			clusters[s.Cluster] = c
		}
		c[at].lives += s.Lives()
		c[at].score += s.Lives() * r.score[i]
	}
	sorted := make([][]tally, 0, len(clusters))
	for _, c := range clusters {
		slices.SortFunc(c, func(a, b tally) int { return a.group - b.group })
		sorted = append(sorted, c)
	}
	slices.SortFunc(sorted, func(a, b []tally) int { return slices.CompareFunc(a, b, tally.compare) })
	return sorted
}

func (t tally) compare(other tally) int {
	return cmp.Or(cmp.Compare(t.group, other.group), cmp.Compare(t.score, other.score), cmp.Compare(t.lives, other.lives))
}

func newSharedCluster(cluster []tally) sharedCluster {
	lives, score := 0.0, 0.0
	for _, t := range cluster {
		lives += t.lives
		score += t.score
	}
	var c sharedCluster
	for _, t := range cluster {
		c.sums = append(c.sums, less(t.score, score*t.lives/lives))
		c.label = append(c.label, t.group)
		c.lives += t.lives - t.lives*t.lives/lives
	}
	return c
}

// less is a − b, and exactly 0 where the two differ by rounding only: scores that
// are all alike must not be told apart by it.
func less(a, b float64) float64 {
	if math.Abs(a-b) <= 1e-12*(math.Abs(a)+math.Abs(b)) {
		return 0
	}
	return a - b
}

// compareWhole keeps the clusters that carry one group if they carry more than
// one between them.
func (d *deal) compareWhole(whole []tally) {
	if !slices.ContainsFunc(whole, func(t tally) bool { return t.group != whole[0].group }) {
		d.idle = len(whole)
		return
	}
	lives, score := 0.0, 0.0
	for _, t := range whole {
		lives += t.lives
		score += t.score
	}
	for _, t := range whole {
		d.whole = append(d.whole, less(t.score, score*t.lives/lives))
		d.label = append(d.label, t.group)
	}
}

// weigh sets what whole clusters count and the covariance of the sums.
func (d *deal) weigh(whole []tally) {
	between, gainBetween := d.varianceBetween(whole)
	within, gainWithin := squareMatrix(d.groups), 0.0
	for _, c := range d.shared {
		k, squares := float64(len(c.sums)), 0.0
		for _, x := range c.sums {
			squares += x * x
		}
		for _, g := range c.label {
			within[g][g] += squares / (k - 1)
			for _, h := range c.label {
				within[g][h] -= squares / (k - 1) / k
			}
		}
		gainWithin += c.lives
	}
	if b, e := trace(between)/gainBetween, trace(within)/gainWithin; b > 0 && e >= 0 {
		k := float64(len(d.shared))
		d.wholeCounts = min(1, (k*e+b)/((k+1)*b))
	}
	d.variance = within
	for g := range between {
		for h := range between {
			d.variance[g][h] += d.wholeCounts * d.wholeCounts * between[g][h]
		}
	}
}

// varianceBetween is the covariance of the sums over whole clusters, and by how
// much a score of 1 more per life of a group would move them.
func (d *deal) varianceBetween(whole []tally) (v [][]float64, gain float64) {
	v = squareMatrix(d.groups)
	if len(d.whole) == 0 {
		return v, 0
	}
	n := float64(len(d.whole))
	squares, lives := 0.0, 0.0
	count := make([]float64, d.groups)
	for i, c := range d.whole {
		squares += c * c
		lives += whole[i].lives
		count[d.label[i]]++
	}
	addDeal(v, squares/(n-1), count)
	for _, x := range count {
		gain += lives / n * x * (1 - x/n)
	}
	return v, gain
}

func trace(m [][]float64) (sum float64) {
	for i := range m {
		sum += m[i][i]
	}
	return sum
}

// sums returns the groups' sums with the labels as they lie.
func (d *deal) sums() []float64 {
	u := make([]float64, d.groups)
	d.sumInto(u)
	return u
}

func (d *deal) sumInto(u []float64) {
	clear(u)
	for i, c := range d.whole {
		u[d.label[i]] += c
	}
	for g := range u {
		u[g] *= d.wholeCounts
	}
	for _, c := range d.shared {
		for i, x := range c.sums {
			u[c.label[i]] += x
		}
	}
}

// ways counts the deals, as far as a number holds them.
func (d *deal) ways() float64 {
	n := 1.0
	for _, labels := range d.labels {
		seen := map[int]float64{}
		for i, g := range labels { // (1 · 2 · 3 …)/(that of each group)
			seen[g]++
			n *= float64(i+1) / seen[g]
		}
	}
	return n
}

// first puts all labels in order, from where next goes through every deal.
func (d *deal) first() {
	for _, labels := range d.labels {
		slices.Sort(labels)
	}
}

// next goes to the next deal; false means that it is the first one again.
func (d *deal) next() bool {
	return slices.ContainsFunc(d.labels, nextPermutation)
}

// nextPermutation puts x into the next order of the alphabet; after the last
// comes the first, and it returns false.
func nextPermutation(x []int) bool {
	i := len(x) - 2
	for i >= 0 && x[i] >= x[i+1] {
		i--
	}
	if i >= 0 {
		j := len(x) - 1
		for x[j] <= x[i] {
			j--
		}
		x[i], x[j] = x[j], x[i]
	}
	slices.Reverse(x[i+1:])
	return i >= 0
}

// shuffle deals at random.
func (d *deal) shuffle(source *rand.Rand) {
	for _, labels := range d.labels {
		source.Shuffle(len(labels), func(i, j int) { labels[i], labels[j] = labels[j], labels[i] })
	}
}
