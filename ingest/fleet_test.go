package ingest

import (
	"fmt"
	"strings"
	"time"

	"pgregory.net/rapid"

	"beadspan/study"
)

var lastDay = study.DayOf(2026, time.October, 31)

// fleets generates valid fleets whose people all appear in a checkup or care.
func fleets() *rapid.Generator[study.Fleet] {
	return rapid.Custom(func(t *rapid.T) study.Fleet {
		var f study.Fleet
		for i := range rapid.IntRange(1, 3).Draw(t, "coatings") {
			f.Coatings = append(f.Coatings, coating(t, fmt.Sprintf("C-%d", i)))
		}
		for i := range rapid.IntRange(1, 3).Draw(t, "sites") {
			f.Sites = append(f.Sites, site(t, fmt.Sprintf("Ort/%d", i)))
		}
		for i := range rapid.IntRange(0, 3).Draw(t, "vehicles") {
			f.Vehicles = append(f.Vehicles, vehicle(t, &f, fmt.Sprintf("Ü%d", i)))
		}
		return f
	})
}

func coating(t *rapid.T, code string) study.Coating {
	c := study.Coating{ID: study.NewID(), Code: code, Name: words(t), Control: rapid.Bool().Draw(t, "control"), Note: words(t)}
	c.ClaimLowMonths = maybe(t, rapid.Float64Range(0, 12))
	c.ClaimHighMonths = maybe(t, rapid.Float64Range(12, 240))
	return c
}

func site(t *rapid.T, code string) study.Site {
	s := study.Site{
		ID:                 study.NewID(),
		Code:               code,
		Name:               words(t),
		LatitudeDeg:        rapid.Float64Range(-90, 90).Draw(t, "latitude"),
		LongitudeDeg:       rapid.Float64Range(-180, 180).Draw(t, "longitude"),
		AltitudeM:          maybe(t, rapid.OneOf(rapid.Float64Range(-430, 6000), rapid.Just(1.125), rapid.Just(-12.125))),
		Koppen:             rapid.SampledFrom(study.KoppenClasses()).Draw(t, "climate"),
		UVMJm2Year:         maybe(t, rapid.Float64Range(0, 700)),
		FreezeThawDaysYear: maybe(t, rapid.Float64Range(0, 366)),
		Note:               words(t),
	}
	if rapid.Bool().Draw(t, "normals") {
		s.MeanTempC = rapid.SliceOfN(rapid.Float64Range(-70, 50), 12, 12).Draw(t, "temperatures")
		s.PrecipitationMM = rapid.SliceOfN(rapid.Float64Range(0, 5000), 12, 12).Draw(t, "rain")
	}
	if rapid.Bool().Draw(t, "more normals") {
		s.MaxTempC = rapid.SliceOfN(rapid.Float64Range(0, 60), 12, 12).Draw(t, "maxima")
		s.MinTempC = rapid.SliceOfN(rapid.Float64Range(-80, 0), 12, 12).Draw(t, "minima")
		s.SunshineH = rapid.SliceOfN(rapid.Float64Range(0, 700), 12, 12).Draw(t, "sunshine")
		s.CloudPct = rapid.SliceOfN(rapid.Float64Range(0, 100), 12, 12).Draw(t, "cloud")
		s.HumidityPct = rapid.SliceOfN(rapid.Float64Range(1, 100), 12, 12).Draw(t, "humidity")
	}
	return s
}

func vehicle(t *rapid.T, f *study.Fleet, code string) study.Vehicle {
	v := study.Vehicle{
		ID:        study.NewID(),
		Code:      code,
		ShopID:    shop(t, f),
		SiteID:    rapid.SampledFrom(f.Sites).Draw(t, "site").ID,
		Enrolled:  days(t, firstDay, lastDay),
		Garage:    rapid.SampledFrom(append(study.Garages(), study.GarageUnknown)).Draw(t, "garage"),
		KmPerYear: maybe(t, rapid.OneOf(rapid.Float64Range(0, 500_000), rapid.Just(12.125))),
		Note:      words(t),
	}
	for i := range rapid.IntRange(1, 3).Draw(t, "patches") {
		v.Patches = append(v.Patches, patch(t, f, fmt.Sprintf("P%d", i)))
	}
	first := v.Enrolled
	for _, p := range v.Patches {
		first = max(first, p.Applied)
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "checkups") {
		// A day apart, so that no two are one checkup.
		if day := first + study.Day(i); day <= lastDay {
			v.Checkups = append(v.Checkups, checkup(t, f, v, day))
		}
	}
	for i, kind := range study.CareKinds() {
		if rapid.IntRange(0, 3).Draw(t, "care") == 0 {
			v.Care = append(v.Care, care(t, f, v, kind, firstDay+study.Day(i)))
		}
	}
	return v
}

func patch(t *rapid.T, f *study.Fleet, code string) study.Patch {
	p := study.Patch{
		ID:          study.NewID(),
		Code:        code,
		CoatingID:   rapid.SampledFrom(f.Coatings).Draw(t, "coating").ID,
		Panel:       "left " + rapid.StringMatching(`[a-z,;"]{1,9}`).Draw(t, "panel") + ".",
		Orientation: rapid.SampledFrom(study.Orientations()).Draw(t, "orientation"),
		Substrate:   rapid.SampledFrom(study.Substrates()).Draw(t, "substrate"),
		Finish:      rapid.SampledFrom(study.Finishes()).Draw(t, "finish"),
		Applied:     days(t, firstDay, lastDay),
		Note:        words(t),
	}
	p.Job = study.Job{
		Layers:          maybe(t, rapid.IntRange(1, 10)),
		LayerIntervalH:  maybe(t, rapid.Float64Range(0, 240)),
		FlashS:          maybe(t, rapid.Float64Range(0, 3600)),
		AirTempC:        maybe(t, rapid.Float64Range(-20, 60)),
		HumidityPct:     maybe(t, rapid.Float64Range(0, 100)),
		PrepAlcoholPct:  maybe(t, rapid.Float64Range(0, 100)),
		KeepDryH:        maybe(t, rapid.Float64Range(0, 336)),
		DaysToFirstWash: maybe(t, rapid.Float64Range(0, 365)),
	}
	return p
}

func checkup(t *rapid.T, f *study.Fleet, v study.Vehicle, day study.Day) study.Checkup {
	c := study.Checkup{ID: study.NewID(), Day: day, OperatorID: operator(t, f), Note: words(t)}
	for _, p := range v.Patches {
		for _, stage := range study.Stages() {
			if len(c.Readings) > 0 && rapid.Bool().Draw(t, "skip") {
				continue
			}
			c.Readings = append(c.Readings, study.Reading{
				PatchID:     p.ID,
				Stage:       stage,
				AnglesDeg:   rapid.SliceOfN(rapid.Float64Range(0, 180), 1, study.MostDrops).Draw(t, "angles"),
				SheetTimeS:  maybe(t, rapid.Float64Range(0, 3600)),
				WetSharePct: maybe(t, rapid.Float64Range(0, 100)),
				BeadGrade:   maybe(t, rapid.IntRange(1, 5)),
				Note:        words(t),
			})
		}
	}
	return c
}

func care(t *rapid.T, f *study.Fleet, v study.Vehicle, kind study.CareKind, day study.Day) study.Care {
	c := study.Care{ID: study.NewID(), Day: day, Kind: kind, OperatorID: operator(t, f), Note: words(t)}
	if rapid.Bool().Draw(t, "one patch") {
		p := rapid.SampledFrom(v.Patches).Draw(t, "patch")
		c.PatchID = &p.ID
	}
	return c
}

// operator adds the person to the fleet when first drawn.
func operator(t *rapid.T, f *study.Fleet) *study.ID {
	code := rapid.SampledFrom([]string{"", "AB", "ÖZ", "7"}).Draw(t, "operator")
	if code == "" {
		return nil
	}
	for _, p := range f.People {
		if p.Code == code {
			return &p.ID
		}
	}
	p := study.Person{ID: study.NewID(), Code: code}
	f.People = append(f.People, p)
	return &p.ID
}

// shop adds the shop to the fleet when first drawn.
func shop(t *rapid.T, f *study.Fleet) *study.ID {
	code := rapid.SampledFrom([]string{"", "NORD", "É/2"}).Draw(t, "shop")
	if code == "" {
		return nil
	}
	for _, s := range f.Shops {
		if s.Code == code {
			return &s.ID
		}
	}
	s := study.Shop{ID: study.NewID(), Code: code}
	f.Shops = append(f.Shops, s)
	return &s.ID
}

func maybe[T any](t *rapid.T, g *rapid.Generator[T]) *T {
	return rapid.Ptr(g, true).Draw(t, "value or nothing")
}

func days(t *rapid.T, first, last study.Day) study.Day {
	return study.Day(rapid.IntRange(int(first), int(last)).Draw(t, "day"))
}

// words generates notes with all that CSV has to quote.
func words(t *rapid.T) string {
	return strings.TrimSpace(rapid.StringOfN(rapid.RuneFrom([]rune("aé水 ,;\"'\n\t=-0")), 0, 12, -1).Draw(t, "words"))
}

// named replaces the ids of a fleet, which are new in every reading, by what
// they name, so that two fleets can be compared.
func named(f study.Fleet) map[string]any {
	codes := codesOf(f)
	people := func(id *study.ID) string {
		if id == nil {
			return ""
		}
		return codes.people[*id]
	}
	all := map[string]any{}
	for i, c := range f.Coatings {
		c.ID = study.ID{}
		all[fmt.Sprint("coating ", i)] = c
	}
	for i, s := range f.Sites {
		s.ID = study.ID{}
		all[fmt.Sprint("site ", i)] = s
	}
	for i, v := range f.Vehicles {
		patches := patchCodes(v)
		key := fmt.Sprint("vehicle ", i)
		for j, p := range v.Patches {
			all[fmt.Sprint(key, " coating of ", j)] = codes.coatings[p.CoatingID]
			p.ID, p.CoatingID = study.ID{}, study.ID{}
			all[fmt.Sprint(key, " patch ", j)] = p
		}
		for j, c := range v.Checkups {
			all[fmt.Sprint(key, " checkup ", j)] = []any{c.Day, people(c.OperatorID), c.Note}
			for k, r := range c.Readings {
				all[fmt.Sprint(key, " patch of ", j, k)] = patches[r.PatchID]
				r.PatchID = study.ID{}
				all[fmt.Sprint(key, " reading ", j, k)] = r
			}
		}
		for j, c := range v.Care {
			patch := ""
			if c.PatchID != nil {
				patch = patches[*c.PatchID]
			}
			all[fmt.Sprint(key, " care ", j)] = []any{c.Day, c.Kind, patch, people(c.OperatorID), c.Note}
		}
		all[key+" site"] = codes.sites[v.SiteID]
		if v.ShopID != nil {
			all[key+" shop"] = codes.shops[*v.ShopID]
		}
		v.ID, v.SiteID, v.ShopID, v.Patches, v.Checkups, v.Care = study.ID{}, study.ID{}, nil, nil, nil, nil
		all[key] = v
	}
	return all
}
