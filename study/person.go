package study

// Person is somebody who coats, reads or decides, known by initials or a
// staff code: no name is needed.
type Person struct {
	ID   ID
	Code string
}

// Validate says what is wrong with p.
func (p Person) Validate() Problems {
	var ps Problems
	ps.code("operator", p.Code)
	return ps
}
