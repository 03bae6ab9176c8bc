package reports

import (
	"slices"

	"beadspan/stats/decay/mixed"
)

// mostModelled is how many vehicles a model is fitted to at most: enough for
// limits that are narrower than what the model's shape leaves in doubt, and few
// enough for seconds. House rule.
const mostModelled = 500

// modelled are the readings that the model is fitted to: those of all vehicles,
// or of mostModelled of them at even ranks in the order of the records, so that
// every season of enrolment keeps its share, and of the vehicle of that code,
// whatever its rank.
func (d *Decay) modelled(vehicle string) []mixed.Reading {
	picked := pickedVehicles(d.Readings, mostModelled)
	var readings []mixed.Reading
	for _, r := range d.Readings {
		if picked[r.vehicle] || vehicle != "" && d.members[r.patch].Vehicle.Code == vehicle {
			readings = append(readings, mixed.Reading{Time: r.Days, Value: r.AngleDeg, Weight: 1, Outer: r.vehicle, Inner: r.patch})
		}
	}
	return readings
}

// pickedVehicles are the numbers of most of the vehicles with readings, at even
// ranks, or of all if there are no more.
func pickedVehicles(readings []CleanReading, most int) map[int]bool {
	seen := map[int]bool{}
	for _, r := range readings {
		seen[r.vehicle] = true
	}
	if len(seen) <= most {
		return seen
	}
	var numbers []int
	for v := range seen {
		numbers = append(numbers, v)
	}
	slices.Sort(numbers)
	picked := map[int]bool{}
	for i := range most {
		picked[numbers[(2*i+1)*len(numbers)/(2*most)]] = true // the middle of the ith of most equal parts
	}
	return picked
}
