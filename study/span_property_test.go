package study

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// drawVehicle makes any history at all: dirty, contradictory, out of order.
func drawVehicle(t *rapid.T) (Vehicle, Patch) {
	patch := Patch{ID: NewID(), Applied: service - 1}
	v := Vehicle{ID: NewID(), Enrolled: service + Day(rapid.IntRange(-5, 200).Draw(t, "enrolled"))}
	for range rapid.IntRange(0, 12).Draw(t, "readings") {
		v.Checkups = append(v.Checkups, Checkup{
			ID:  NewID(),
			Day: service + Day(rapid.IntRange(-1, 400).Draw(t, "day")),
			Readings: []Reading{{
				PatchID:   patch.ID,
				Stage:     rapid.SampledFrom(Stages()).Draw(t, "stage"),
				AnglesDeg: []float64{float64(rapid.IntRange(60, 120).Draw(t, "angle"))},
			}},
		})
	}
	for range rapid.IntRange(0, 3).Draw(t, "care") {
		v.Care = append(v.Care, Care{
			ID:   NewID(),
			Day:  service + Day(rapid.IntRange(-1, 400).Draw(t, "care day")),
			Kind: rapid.SampledFrom(CareKinds()).Draw(t, "kind"),
		})
	}
	return v, patch
}

func drawProtocol(t *rapid.T) Protocol {
	p := DefaultProtocol()
	p.Confirm = rapid.IntRange(1, 3).Draw(t, "confirm")
	p.Estimand = rapid.SampledFrom([]Estimand{ToTopper, AsMaintained}).Draw(t, "estimand")
	return p
}

func TestSpanIsOrdered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, patch := drawVehicle(t)
		s := drawProtocol(t).Derive(v, patch)
		if s.EntryDays < 0 || s.EntryDays > s.LowerDays || s.LowerDays >= s.UpperDays {
			t.Fatalf("entry %v, lower %v, upper %v", s.EntryDays, s.LowerDays, s.UpperDays)
		}
		if math.IsInf(s.LowerDays, 0) || math.IsNaN(s.LowerDays+s.EntryDays) {
			t.Fatalf("entry %v, lower %v", s.EntryDays, s.LowerDays)
		}
	})
}

func TestSpanIgnoresTheOrderOfRecords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, patch := drawVehicle(t)
		p := drawProtocol(t)
		before := p.Derive(v, patch)
		shuffle := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		shuffle.Shuffle(len(v.Checkups), func(i, j int) { v.Checkups[i], v.Checkups[j] = v.Checkups[j], v.Checkups[i] })
		after := p.Derive(v, patch)
		if before.Decided != after.Decided || before.UpperDays != after.UpperDays ||
			before.LowerDays != after.LowerDays || before.EntryDays != after.EntryDays {
			t.Fatalf("%+v became %+v", before, after)
		}
	})
}

// Dirt proves nothing: a failing reading before the decontamination wash on a
// day of its own moves no end of the span.
func TestSpanIgnoresDirt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, patch := drawVehicle(t)
		p := drawProtocol(t)
		before := p.Derive(v, patch)
		v.read(service+401, Reading{PatchID: patch.ID, Stage: Washed, AnglesDeg: []float64{40}})
		after := p.Derive(v, patch)
		if before.EntryDays != after.EntryDays || before.LowerDays != after.LowerDays ||
			before.UpperDays != after.UpperDays || before.Known != after.Known {
			t.Fatalf("%+v became %+v", before, after)
		}
	})
}

// An angle that only ever falls, read without error on a clean panel and
// lowered by film on a dirty one, crosses the threshold inside the span.
func TestSpanHoldsTheTruth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		life := rapid.IntRange(1, 500).Draw(t, "life")
		clean := func(day int) float64 { return 90 + 0.05*(float64(life)-0.5-float64(day)) } // fails from day life on
		patch := Patch{ID: NewID(), Applied: service - 1}
		v := Vehicle{ID: NewID(), Enrolled: service + Day(rapid.SampledFrom([]int{-1, 50, 150}).Draw(t, "enrolled"))}
		first := max(0, int(v.Enrolled-service))
		for range rapid.IntRange(1, 15).Draw(t, "readings") {
			day := rapid.IntRange(first, 600).Draw(t, "day")
			r := Reading{PatchID: patch.ID, Stage: rapid.SampledFrom(Stages()).Draw(t, "stage")}
			film := 0.0
			if r.Stage != Decon {
				film = rapid.Float64Range(0, 20).Draw(t, "film")
			}
			r.AnglesDeg = []float64{clean(day) - film}
			v.Checkups = append(v.Checkups, Checkup{ID: NewID(), Day: service + Day(day), Readings: []Reading{r}})
		}
		s := drawProtocol(t).Derive(v, patch)
		if s.Known && (float64(life) <= s.LowerDays || float64(life) > s.UpperDays) {
			t.Fatalf("life %d outside (%v, %v]", life, s.LowerDays, s.UpperDays)
		}
	})
}
