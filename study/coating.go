package study

// Coating is a product under a house code of the shop's own.
type Coating struct {
	ID   ID
	Code string
	Name string
	// Control marks the bare, uncoated reference: it has no life to lose, its
	// angle is the floor that the coatings fall towards.
	Control bool
	// The maker's claim, "lasts ClaimLow to ClaimHigh months"; nil when none.
	ClaimLowMonths  *float64
	ClaimHighMonths *float64
	Note            string
}

// Validate says what is wrong with c.
func (c Coating) Validate() Problems {
	var ps Problems
	ps.code("code", c.Code)
	ps.within("claim_low_months", c.ClaimLowMonths, 0, 240, "months")
	ps.within("claim_high_months", c.ClaimHighMonths, 0, 240, "months")
	if c.ClaimLowMonths != nil && c.ClaimHighMonths != nil && *c.ClaimLowMonths > *c.ClaimHighMonths {
		ps.add("claim_high_months", number(*c.ClaimHighMonths), "expected no less than claim_low_months")
	}
	return ps
}
