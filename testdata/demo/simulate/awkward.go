package simulate

// Awkward is a record that was made to test one rule.
type Awkward struct {
	Case           string
	Vehicle, Patch string
}

func makeAwkward([]*history) []Awkward { return nil }
