package ingest

import "beadspan/study"

func coatingTable() table[study.Coating] {
	return table[study.Coating]{
		name: "coatings",
		note: func(c *study.Coating) *string { return &c.Note },
		fields: []field[study.Coating]{
			textField(Column{Name: "code", Required: true, Example: "C-20", Meaning: "the shop's own code of the coating"},
				func(c *study.Coating) *string { return &c.Code }),
			textField(Column{Name: "name", Example: "flexible, two layers", Meaning: "what people call it"},
				func(c *study.Coating) *string { return &c.Name }),
			yesNoField(Column{Name: "control", Example: "no", Meaning: "whether it is the bare, uncoated reference; blank means no"},
				func(c *study.Coating) *bool { return &c.Control }),
			numberField(Column{Name: "claim_low_months", Unit: "months", Example: "12", Meaning: "the shorter end of the life that the maker claims"},
				func(c *study.Coating) **float64 { return &c.ClaimLowMonths }),
			numberField(Column{Name: "claim_high_months", Unit: "months", Example: "24", Meaning: "the longer end of that life"},
				func(c *study.Coating) **float64 { return &c.ClaimHighMonths }),
			textField(Column{Name: "note", Example: "batch 7", Meaning: "anything else"},
				func(c *study.Coating) *string { return &c.Note }),
		},
	}
}

func (r *reader) coating(l *line, c *study.Coating) {
	c.ID = study.NewID()
	l.check(c.Validate())
	if r.coatings.define(l, c.ID) {
		r.fleet.Coatings = append(r.fleet.Coatings, *c)
	}
}
