package ingest

import (
	"fmt"

	"beadspan/study"
)

// codes turns a fleet's ids back into the codes that a log names records by.
type codes struct {
	coatings, sites, shops, people map[study.ID]string
}

func codesOf(f study.Fleet) codes {
	return codes{
		coatings: codeByID(f.Coatings, func(c study.Coating) (study.ID, string) { return c.ID, c.Code }),
		sites:    codeByID(f.Sites, func(s study.Site) (study.ID, string) { return s.ID, s.Code }),
		shops:    codeByID(f.Shops, func(s study.Shop) (study.ID, string) { return s.ID, s.Code }),
		people:   codeByID(f.People, func(p study.Person) (study.ID, string) { return p.ID, p.Code }),
	}
}

func codeByID[T any](records []T, of func(T) (study.ID, string)) map[study.ID]string {
	byID := make(map[study.ID]string, len(records))
	for _, r := range records {
		id, code := of(r)
		byID[id] = code
	}
	return byID
}

func coatingRows(f study.Fleet) rowsOf[study.Coating] {
	return func(yield func(*study.Coating, error) bool) {
		for i := range f.Coatings {
			if !yield(&f.Coatings[i], nil) {
				return
			}
		}
	}
}

func siteRows(f study.Fleet) rowsOf[siteRow] {
	return func(yield func(*siteRow, error) bool) {
		for _, s := range f.Sites {
			if !yield(&siteRow{s, koppen(s.Koppen)}, nil) {
				return
			}
		}
	}
}

func vehicleRows(f study.Fleet, c codes) rowsOf[vehicleRow] {
	return func(yield func(*vehicleRow, error) bool) {
		for _, v := range f.Vehicles {
			site, err := codeOf(c.sites, v.SiteID, "site", v)
			row := vehicleRow{Vehicle: v, site: site}
			if err == nil && v.ShopID != nil {
				row.shop, err = codeOf(c.shops, *v.ShopID, "shop", v)
			}
			if !yield(&row, err) {
				return
			}
		}
	}
}

func patchRows(f study.Fleet, c codes) rowsOf[patchRow] {
	return func(yield func(*patchRow, error) bool) {
		for _, v := range f.Vehicles {
			for _, p := range v.Patches {
				coating, err := codeOf(c.coatings, p.CoatingID, "coating", v)
				if !yield(&patchRow{p, v.Code, coating}, err) {
					return
				}
			}
		}
	}
}

func readingRows(f study.Fleet, c codes) rowsOf[readingRow] {
	return func(yield func(*readingRow, error) bool) {
		for _, v := range f.Vehicles {
			patches := patchCodes(v)
			for _, checkup := range v.Checkups {
				if len(checkup.Readings) == 0 {
					yield(nil, fmt.Errorf("the checkup of vehicle %s on %s has no readings: a log cannot hold it", v.Code, checkup.Day))
					return
				}
				visitNote := checkup.Note
				for _, reading := range checkup.Readings {
					row, err := readingRowOf(v, checkup, reading, patches, c)
					row.visitNote, visitNote = visitNote, ""
					if !yield(&row, err) {
						return
					}
				}
			}
		}
	}
}

func readingRowOf(v study.Vehicle, checkup study.Checkup, reading study.Reading, patches map[study.ID]string, c codes) (readingRow, error) {
	row := readingRow{Reading: reading, vehicle: v.Code, day: checkup.Day}
	var err error
	if row.patch, err = codeOf(patches, reading.PatchID, "patch", v); err != nil {
		return row, err
	}
	if checkup.OperatorID != nil {
		row.operator, err = codeOf(c.people, *checkup.OperatorID, "person", v)
	}
	return row, err
}

func careRows(f study.Fleet, c codes) rowsOf[careRow] {
	return func(yield func(*careRow, error) bool) {
		for _, v := range f.Vehicles {
			patches := patchCodes(v)
			for _, care := range v.Care {
				row, err := careRowOf(v, care, patches, c)
				if !yield(&row, err) {
					return
				}
			}
		}
	}
}

func careRowOf(v study.Vehicle, care study.Care, patches map[study.ID]string, c codes) (row careRow, err error) {
	row = careRow{Care: care, vehicle: v.Code}
	if care.PatchID != nil {
		if row.patch, err = codeOf(patches, *care.PatchID, "patch", v); err != nil {
			return row, err
		}
	}
	if care.OperatorID != nil {
		row.operator, err = codeOf(c.people, *care.OperatorID, "person", v)
	}
	return row, err
}

func patchCodes(v study.Vehicle) map[study.ID]string {
	return codeByID(v.Patches, func(p study.Patch) (study.ID, string) { return p.ID, p.Code })
}

func codeOf(codes map[study.ID]string, id study.ID, what string, v study.Vehicle) (string, error) {
	code, known := codes[id]
	if !known {
		return "", fmt.Errorf("vehicle %s names %s %s, which the fleet doesn't have", v.Code, what, id)
	}
	return code, nil
}

// mostDrops is how many drops the fullest reading has.
func mostDrops(f study.Fleet) int {
	most := 0
	for _, v := range f.Vehicles {
		for _, c := range v.Checkups {
			for _, r := range c.Readings {
				most = max(most, len(r.AnglesDeg))
			}
		}
	}
	return most
}
