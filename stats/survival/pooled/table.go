package pooled

import (
	"slices"

	"beadspan/stats/pooling"
)

// table is the cells that are pooled, and what they are pooled by.
type table struct {
	strong, thin  []*cell
	kinds, places []string // of the cells above
	own           *own
	sites         []site // of the thin cells
	unsettled     bool
}

// newTable takes in the cells of all kinds that have a strong one.
func newTable(cells []*cell) *table {
	t := &table{}
	for _, c := range cells {
		if c.strong() {
			t.strong = append(t.strong, c)
			t.kinds = append(t.kinds, c.kind)
		}
	}
	t.kinds = distinct(t.kinds)
	for _, c := range cells {
		if !t.pools(c.kind) {
			continue
		}
		t.places = append(t.places, c.place)
		if !c.strong() {
			t.thin = append(t.thin, c)
		}
	}
	t.places = distinct(t.places)
	return t
}

// pools reports whether a kind is pooled.
func (t *table) pools(kind string) bool { return slices.Contains(t.kinds, kind) }

// strongPlaces lists the places that have a strong cell.
func (t *table) strongPlaces() []string {
	var places []string
	for _, c := range t.strong {
		places = append(places, c.place)
	}
	return distinct(places)
}

// groupings counts the random effects: of the place, and of the cell where a
// place has several.
func (t *table) groupings() int {
	if len(t.strong) > len(t.strongPlaces()) {
		return 2
	}
	return 1
}

// row returns a cell's row of the design, and its groups.
func (t *table) row(kind, place string) (x []float64, groups []int) {
	at := slices.Index(t.places, place)
	groups = []int{at, at*len(t.kinds) + slices.Index(t.kinds, kind)}
	return t.kindRow(kind), groups[:t.groupings()]
}

// kindRow is the design's row of a kind: a mean for each.
func (t *table) kindRow(kind string) []float64 {
	x := make([]float64, len(t.kinds))
	x[slices.Index(t.kinds, kind)] = 1
	return x
}

// add enters a cell in the design and groupings of data.
func (t *table) add(d *pooling.Data, c *cell) {
	x, groups := t.row(c.kind, c.place)
	d.Design = append(d.Design, x)
	for k, g := range groups {
		d.Groupings[k] = append(d.Groupings[k], g)
	}
}

func distinct(names []string) []string {
	slices.Sort(names)
	return slices.Compact(names)
}
