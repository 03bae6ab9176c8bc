package reports

import (
	"context"
	"fmt"
	"slices"

	"gonum.org/v1/plot"

	"beadspan/study"
)

// Letters writes to the customers of one study, each about their own vehicle.
// What all vehicles together have shown is worked out once, when a letter first
// needs it. It is not safe for concurrent use.
type Letters struct {
	options   LetterOptions
	now       study.Fleet
	followed  []study.Followed
	vehicles  map[string]*study.Vehicle
	byVehicle map[*study.Vehicle][]int   // its coated patches' places in followed
	members   map[int]map[Group][]member // by how many things groups are told apart
	lives     map[Group]*LifeRow
	falls     map[string]*letterFall
	ruler     *ruler
}

// LetterOptions says how letters are made. The same options and the same records
// give the same letters.
type LetterOptions struct {
	Study study.Study
	// On is the day of the letters: records of later days are not looked at.
	On study.Day
	// Salt tells the salt season of a site.
	Salt func(study.Site) study.SaltSeason
	// Level, BootstrapReplicates and Seed are those of the table of life.
	Level               float64
	BootstrapReplicates int
	Seed                uint64
	Version             string // of the program
}

// LetterReplicates is how many bootstrap replicates letters rest on, unless
// somebody says otherwise: they tell whole tenths, for which few do.
const LetterReplicates = 99

// NewLetters prepares the letters of a study's fleet. Options that make no sense
// are ErrOptions.
func NewLetters(fleet study.Fleet, o LetterOptions) (*Letters, error) {
	if err := o.life().validate(); err != nil {
		return nil, err
	}
	l := &Letters{
		options: o, now: *fleet.Until(o.On), vehicles: map[string]*study.Vehicle{}, byVehicle: map[*study.Vehicle][]int{},
		members: map[int]map[Group][]member{}, lives: map[Group]*LifeRow{}, falls: map[string]*letterFall{},
		ruler: newRuler(plot.DefaultTextHandler),
	}
	for i := range l.now.Vehicles {
		l.vehicles[l.now.Vehicles[i].Code] = &l.now.Vehicles[i]
	}
	l.followed = l.now.Follow(o.Study.Protocol)
	for i, f := range l.followed {
		if !f.Coating.Control {
			l.byVehicle[f.Vehicle] = append(l.byVehicle[f.Vehicle], i)
		}
	}
	return l, nil
}

func (o LetterOptions) life() LifeOptions {
	return LifeOptions{By: []By{ByCoating, ByClimate}, Level: o.Level, BootstrapReplicates: o.BootstrapReplicates, Seed: o.Seed}
}

// Due lists the codes of the vehicles that are due for something on the day of
// the letters, in the order of study.Fleet's DueIn.
func (l *Letters) Due() []string {
	var codes []string
	for _, due := range l.now.DueIn(l.options.Study, l.options.Salt, study.Horizon{On: l.options.On}) {
		codes = append(codes, due.Vehicle.Code)
	}
	return codes
}

// Of makes the letter about a vehicle. A code that no vehicle had on the day of
// the letter is study.ErrNotFound; a vehicle without a coated patch has nothing
// to be told, which is ErrNoLetter.
func (l *Letters) Of(ctx context.Context, code string) (*Letter, error) {
	vehicle, known := l.vehicles[code]
	if !known {
		return nil, fmt.Errorf("letter for vehicle %q: %w", code, study.ErrNotFound)
	}
	var own []study.Followed
	for _, i := range l.byVehicle[vehicle] {
		own = append(own, l.followed[i])
	}
	if len(own) == 0 {
		return nil, fmt.Errorf("letter for vehicle %q: %w", code, ErrNoLetter)
	}
	letter := newLetter(*vehicle, own, l.options)
	letter.ruler = l.ruler
	for _, coat := range coatsOf(own) {
		told, err := l.tell(ctx, coat)
		if err != nil {
			return nil, fmt.Errorf("letter for vehicle %q: %w", code, err)
		}
		letter.Coats = append(letter.Coats, *told)
	}
	slices.SortStableFunc(letter.Coats, func(a, b LetterCoat) int { return one(b.lives()) - one(a.lives()) })
	return letter, nil
}

// coatsOf sorts a vehicle's patches by coating, the coating with most patches
// first.
func coatsOf(own []study.Followed) [][]study.Followed {
	var coats [][]study.Followed
	for _, f := range own {
		at := slices.IndexFunc(coats, func(coat []study.Followed) bool { return coat[0].Coating.ID == f.Coating.ID })
		if at < 0 {
			coats = append(coats, nil)
			at = len(coats) - 1
		}
		coats[at] = append(coats[at], f)
	}
	slices.SortStableFunc(coats, func(a, b []study.Followed) int { return len(b) - len(a) })
	return coats
}

// row is a row of the table of life by coating and climate, or by coating alone,
// as reports.NewLife would have it.
func (l *Letters) row(ctx context.Context, g Group, by ...By) (*LifeRow, error) {
	if row, known := l.lives[g]; known {
		return row, nil
	}
	if l.members[len(by)] == nil {
		_, l.members[len(by)] = grouped(l.followed, by)
	}
	row, err := newLifeRow(ctx, g, newSample(l.members[len(by)][g]), l.options.life(), newTally(nil))
	if err != nil {
		return nil, err
	}
	l.lives[g] = row
	return row, nil
}
