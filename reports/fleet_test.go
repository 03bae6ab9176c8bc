package reports

import (
	"fmt"
	"math/rand/v2"

	"beadspan/study"
)

// yard builds fleets for tests.
type yard struct {
	fleet    study.Fleet
	coatings map[string]study.ID
	sites    map[string]study.ID
}

func newYard() *yard {
	return &yard{coatings: map[string]study.ID{}, sites: map[string]study.ID{}}
}

func (y *yard) coating(code string) study.ID {
	if _, known := y.coatings[code]; !known {
		y.coatings[code] = study.NewID()
		y.fleet.Coatings = append(y.fleet.Coatings, study.Coating{ID: y.coatings[code], Code: code, Control: code == "BARE"})
	}
	return y.coatings[code]
}

func (y *yard) site(climate string) study.ID {
	if _, known := y.sites[climate]; !known {
		y.sites[climate] = study.NewID()
		y.fleet.Sites = append(y.fleet.Sites, study.Site{ID: y.sites[climate], Code: climate, Koppen: climate})
	}
	return y.sites[climate]
}

// serviceBegan is the day on which all patches of a yard go into service.
const serviceBegan study.Day = 20_000

// clean is a reading after a decontamination wash.
type clean struct {
	day   int // of service
	angle float64
}

// vehicle adds a vehicle with one patch, followed from the start, and returns
// it for more.
func (y *yard) vehicle(climate, coating string, readings ...clean) *study.Vehicle {
	y.fleet.Vehicles = append(y.fleet.Vehicles, study.Vehicle{
		ID:       study.NewID(),
		Code:     fmt.Sprintf("V%d", len(y.fleet.Vehicles)+1),
		SiteID:   y.site(climate),
		Enrolled: serviceBegan,
	})
	v := &y.fleet.Vehicles[len(y.fleet.Vehicles)-1]
	y.patch(v, coating, readings...)
	return v
}

// patch adds a patch to a vehicle.
func (y *yard) patch(v *study.Vehicle, coating string, readings ...clean) {
	dry := 0.0
	p := study.Patch{
		ID:        study.NewID(),
		Code:      fmt.Sprintf("P%d", len(v.Patches)+1),
		CoatingID: y.coating(coating),
		Applied:   serviceBegan,
		Job:       study.Job{KeepDryH: &dry},
	}
	v.Patches = append(v.Patches, p)
	for _, r := range readings {
		v.Checkups = append(v.Checkups, study.Checkup{
			ID:  study.NewID(),
			Day: serviceBegan + study.Day(r.day),
			Readings: []study.Reading{
				{PatchID: p.ID, Stage: study.Decon, AnglesDeg: []float64{r.angle}},
			},
		})
	}
}

// spent adds a vehicle whose patch held on one day of service and had failed
// by another.
func (y *yard) spent(climate, coating string, held, failed int) *study.Vehicle {
	return y.vehicle(climate, coating, clean{held, 105}, clean{failed, 80})
}

// held adds a vehicle whose patch held when it was last seen.
func (y *yard) held(climate, coating string, day int) *study.Vehicle {
	return y.vehicle(climate, coating, clean{day, 105})
}

// atOnce is a protocol under which one clean fail counts.
func atOnce() study.Protocol {
	p := study.DefaultProtocol()
	p.Confirm = 1
	return p
}

func (y *yard) follow() []study.Followed { return y.fleet.Follow(atOnce()) }

// madeUpYard is a fleet of two coatings and a control in two climates, with
// lives drawn at random from the seed.
func madeUpYard(seed uint64, vehicles int) *yard {
	random := rand.New(rand.NewPCG(seed, 0))
	y := newYard()
	for i := range vehicles {
		climate := []string{"Cfb", "BWh"}[i%2]
		v := y.vehicle(climate, "A-1", fading(random, 420)...)
		y.patch(v, "B/2", fading(random, 600)...)
		if i%8 == 0 {
			y.patch(v, "BARE", clean{20, 75}, clean{300, 74})
		}
	}
	return y
}

// fading is a patch's readings every two months or so while its angle falls
// below 90° at about the given day.
func fading(random *rand.Rand, life float64) []clean {
	life *= 0.6 + 0.8*random.Float64()
	var readings []clean
	for day := 10 + random.IntN(20); day < 800; day += 40 + random.IntN(50) {
		angle := 110 - 20*float64(day)/life + 2*random.NormFloat64()
		readings = append(readings, clean{day, max(70, angle)})
	}
	return readings
}
