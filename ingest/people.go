package ingest

import "beadspan/study"

// operator returns the person behind a code, who is new with the first row
// that names them. A blank is nobody.
func (r *reader) operator(l *line, code string) *study.ID {
	if code == "" {
		return nil
	}
	if id, known := r.people[code]; known {
		return &id
	}
	p := study.Person{ID: study.NewID(), Code: code}
	if found := p.Validate(); len(found) > 0 {
		l.check(found)
		return nil
	}
	r.people[code] = p.ID
	r.fleet.People = append(r.fleet.People, p)
	return &p.ID
}
