package ingest

import "beadspan/study"

// shop returns the shop behind a code, which is new with the first vehicle
// that names it. A blank is no shop.
func (r *reader) shop(l *line, code string) *study.ID {
	if code == "" {
		return nil
	}
	if id, known := r.shops[code]; known {
		return &id
	}
	s := study.Shop{ID: study.NewID(), Code: code}
	if found := s.Validate(); len(found) > 0 {
		l.check(found)
		return nil
	}
	r.shops[code] = s.ID
	r.fleet.Shops = append(r.fleet.Shops, s)
	return &s.ID
}
