package reports

import (
	"errors"
	"fmt"
	"math"

	"beadspan/stats/survival/pooled"
	"beadspan/study"
	"beadspan/study/exposure"
)

// ClimateLife tells how long each coating lasts in each climate, by itself and
// by partial pooling, what differs between the climates, and what may be
// expected in a climate that isn't in the study.
type ClimateLife struct {
	Level float64
	Law   string // distribution of lives; empty where nothing could be estimated
	// Rows are the cells of the table, by coating and climate.
	Rows []ClimateLifeRow
	// Coatings are what is said of each coating beyond the climates of the study;
	// none where nothing is pooled.
	Coatings []CoatingOutlook
	Climates []ClimateInStudy
	// ClimateSD is how much the log of life differs between climates for all
	// coatings alike, and CellSD how much more for one than for another; nil
	// where nothing is pooled.
	ClimateSD, CellSD *float64
	Loads             []LoadRow
	Conditions        []Condition
	// Refused says why there is no pooling, or no estimate at all; empty where
	// there is.
	Refused string
	Notes   []string

	result *pooled.Result
	sample *climateSample
}

// ClimateLifeRow is one coating in one climate.
type ClimateLifeRow struct {
	Group
	Vehicles, Patches, Spent int // of whose life something is known
	VehicleMonths            float64
	LongestMonths            float64 // followed
	// Own is what these patches show by themselves, Pooled what they and all
	// others do; nil where too little is known.
	Own, Pooled *HalfLife
	// MoreVehicleMonths is how much more it takes until Own is known to within
	// 30 %, or where nothing is estimated until a first; nil where nothing tells
	// how fast patches are spent.
	MoreVehicleMonths *float64
}

// HalfLife is the time by which half of some patches are spent.
type HalfLife struct {
	Months float64
	Limits Limits
}

// CoatingOutlook is a coating's life in a middling climate of those that the
// study's were drawn from, and in a single new one, of which nothing is known.
type CoatingOutlook struct {
	Coating            string
	Middling, NewPlace HalfLife
	LongestMonths      float64
}

// ClimateInStudy is a climate in which vehicles of the study live.
type ClimateInStudy struct {
	Class, Words string
	Vehicles     int
	// Loads are those of an average year of an average patch there, by clock;
	// what isn't known is missing.
	Loads map[exposure.Clock]float64
}

// knownWithin is the share within which a life by climate is called known.
const knownWithin = 0.30

// NewClimateLife works out life by climate. sites are the fleet's, for the
// loads; nil leaves those out. Controls are left out, patches of whose life
// nothing is known, and those whose site has no climate class.
//
// A level outside (0, 1) is ErrOptions. Too little data is not an error:
// Refused then says what is missing.
func NewClimateLife(followed []study.Followed, sites exposure.Sites, level float64) (*ClimateLife, error) {
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("%w: confidence level %g, expected a number between 0 and 1 such as 0.95", ErrOptions, level)
	}
	c := &ClimateLife{Level: level, sample: newClimateSample(followed, sites)}
	c.Climates = c.sample.climates()
	if err := c.estimate(); err != nil {
		return nil, fmt.Errorf("life by climate: %w", err)
	}
	c.note()
	return c, nil
}

// estimate fills in all that can be estimated, and says what can't.
func (c *ClimateLife) estimate() error {
	if len(c.sample.patches) == 0 {
		c.Refused = "Nothing is known yet of the life of any patch in a known climate."
		return nil
	}
	var err error
	c.result, err = c.sample.fit(c.Level)
	if notFittable(err) {
		c.Refused = "Lives by climate can’t be estimated: the visits don’t show how lives spread, or which of what differs makes the difference."
		c.addRows(pooled.Count(c.sample.data()))
		return nil
	}
	if errors.Is(err, pooled.ErrTooLittle) {
		c.Refused = fmt.Sprintf("Too little is known for any estimate by climate: it takes a coating with %d spent patches on %d vehicles in one climate.",
			pooled.LeastEnded, pooled.LeastEndedClusters)
		c.addRows(pooled.Count(c.sample.data()))
		return nil
	}
	if err != nil {
		return err
	}
	c.Law = c.result.Law.String()
	c.addRows(c.result.Cells)
	for _, f := range c.result.Covariates {
		c.Conditions = append(c.Conditions, newCondition(f))
	}
	if c.result.Unpooled != "" {
		c.Refused = fmt.Sprintf("Climates aren’t pooled, and nothing is said of others: %d of them have a coating with a median of its own (%d spent patches on %d vehicles), and it takes %d.",
			len(c.result.Places), pooled.LeastEnded, pooled.LeastEndedClusters, pooled.LeastPlaces)
		return nil
	}
	c.ClimateSD, c.CellSD = c.result.PlaceSD, c.result.CellSD
	if err := c.addOutlooks(); err != nil {
		return err
	}
	return c.addLoads()
}

// addRows takes over the cells.
func (c *ClimateLife) addRows(cells []pooled.Cell) {
	for i, row := range c.sample.rows() {
		row.Own, row.Pooled = halfLife(cells[i].Own), halfLife(cells[i].Pooled)
		if days, known := pooled.More(cells, cells[i], knownWithin, c.Level); known {
			row.MoreVehicleMonths = new(days / study.DaysPerMonth)
		}
		c.Rows = append(c.Rows, row)
	}
}

func (c *ClimateLife) addOutlooks() error {
	for _, kind := range c.result.Kinds {
		fresh, err := c.result.NewPlace(kind.Kind)
		if err != nil {
			return err
		}
		o := CoatingOutlook{Coating: kind.Kind, Middling: *halfLife(kind.Pooled), NewPlace: *halfLife(fresh)}
		for _, row := range c.Rows {
			if row.Coating == kind.Kind {
				o.LongestMonths = math.Max(o.LongestMonths, row.LongestMonths)
			}
		}
		c.Coatings = append(c.Coatings, o)
	}
	return nil
}

// halfLife turns days into months.
func halfLife(m *pooled.Median) *HalfLife {
	if m == nil {
		return nil
	}
	return &HalfLife{m.Time / study.DaysPerMonth, Limits{m.Lower / study.DaysPerMonth, m.Upper / study.DaysPerMonth}}
}

// String writes a half-life with its limits: "14.2 (11.9–16.8)"; "–" for none.
func (h *HalfLife) String() string {
	if h == nil {
		return "–"
	}
	return months(h.Months) + " (" + monthLimits(h.Limits) + ")"
}
