package study

// Shop is one place of work, where vehicles are coated and seen. A study of
// one shop needs none.
type Shop struct {
	ID   ID
	Code string
}

// Validate says what is wrong with s.
func (s Shop) Validate() Problems {
	var ps Problems
	ps.code("shop", s.Code)
	return ps
}
