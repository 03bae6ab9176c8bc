package reports

import (
	"fmt"
	"slices"

	"beadspan/study"
)

// DueList is what a study's vehicles are due for on a day, ready to be written.
type DueList struct {
	Study   study.Study
	Horizon study.Horizon
	// Vehicles is how many are looked at, due or not.
	Vehicles int
	Rows     []DueRow // the most urgent first
	Counts   []DueCount
	Notes    []string
}

// DueRow is one vehicle that is due for something.
type DueRow struct {
	study.VehicleDue
	Checkup CheckupAdvice
}

// DueCount is how many vehicles and patches are due for one thing.
type DueCount struct {
	Kind     study.DueKind `json:"kind"`
	Vehicles int           `json:"n_vehicles"`
	Patches  int           `json:"n_patches"`
}

// DueOptions say what a list of what is due is about.
type DueOptions struct {
	study.Horizon
	// Site is the code of a site; empty for all.
	Site string
	// Salt tells the salt season of a site.
	Salt func(study.Site) study.SaltSeason
	// Notes are what a reader must know of the seasons.
	Notes []string
}

// NewDue finds out what the vehicles of a fleet are due for, and when a checkup
// of each would tell most.
func NewDue(s study.Study, fleet study.Fleet, o DueOptions) *DueList {
	list := &DueList{Study: s, Horizon: o.Horizon}
	here := *fleet.Until(o.On)
	curves := newDueCurves(here.Follow(s.Protocol))
	if o.Site != "" {
		here = atSite(here, o.Site)
	}
	list.Vehicles = len(here.Vehicles)
	for _, due := range here.DueIn(s, o.Salt, o.Horizon) {
		list.Rows = append(list.Rows, DueRow{due, curves.advise(due, o.On)})
	}
	list.count()
	list.note(o.Notes)
	return list
}

// atSite keeps the vehicles that live at a site.
func atSite(fleet study.Fleet, code string) study.Fleet {
	codes := map[study.ID]string{}
	for _, s := range fleet.Sites {
		codes[s.ID] = s.Code
	}
	var here []study.Vehicle
	for _, v := range fleet.Vehicles {
		if codes[v.SiteID] == code {
			here = append(here, v)
		}
	}
	fleet.Vehicles = here
	return fleet
}

// Where is the list of those rows that hold, counted anew.
func (l *DueList) Where(holds func(DueRow) bool) *DueList {
	part := *l
	part.Rows, part.Counts = nil, nil
	for _, row := range l.Rows {
		if holds(row) {
			part.Rows = append(part.Rows, row)
		}
	}
	part.count()
	return &part
}

func (l *DueList) count() {
	of := map[study.DueKind]*DueCount{}
	for _, row := range l.Rows {
		for _, d := range row.Due {
			if of[d.Kind] == nil {
				of[d.Kind] = &DueCount{Kind: d.Kind}
			}
			of[d.Kind].Vehicles++
			of[d.Kind].Patches += len(d.Patches)
		}
	}
	for _, kind := range study.DueKinds() {
		if of[kind] != nil {
			l.Counts = append(l.Counts, *of[kind])
		}
	}
}

func (l *DueList) note(ofSeasons []string) {
	if len(l.Rows) == 0 {
		return
	}
	l.Notes = append(l.Notes, "Intervals are the study's care plan, common practice without a source; the maker's sheet comes before it: 'beadspan study plan'.")
	if slices.ContainsFunc(l.Rows, func(row DueRow) bool { return row.Checkup.From != nil }) {
		l.Notes = append(l.Notes, fmt.Sprintf("A checkup tells most of how long the coatings last on the day named for it, going by the fleet's lives so far; from the earlier day on it tells %.0f %% of that. An estimate, no promise that the coating holds until then.", 100*enoughOfBest))
	}
	l.Notes = append(l.Notes, ofSeasons...)
}

// Doing says what is to be done, in a few words.
func Doing(k study.DueKind) string {
	switch k {
	case study.DueSecondReading:
		return "decon wash, then read again"
	case study.DueConfirmation:
		return "decon wash and a second clean reading"
	case study.DueDeconWash:
		return "decon wash"
	case study.DueIronRemover:
		return "iron remover"
	case study.DueCheckup:
		return "checkup"
	case study.DueWash:
		return "maintenance wash"
	case study.DueContact:
		return "ask after it"
	}
	return string(k)
}
