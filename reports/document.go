package reports

// Section is a part of a report under a heading of its own, in the form that the
// page and the printed report have in common.
type Section struct {
	// Name is its address on the page, such as "claims": letters, digits and
	// hyphens, and no other section's.
	Name    string
	Heading string
	Parts   []Part
}

// Part is a piece of a section, in its place among the others. One field says
// something, and Folded goes with Notes and Table.
type Part struct {
	Heading string   // of the parts that follow, a level below the section's
	Text    string   // a paragraph
	Small   string   // a paragraph on how to read what stands above it
	Points  []string // a list
	Notes   []string // what a reader must know of the figures above
	Table   *Table
	Plot    *Plot // with its title, its description and the table behind it

	// Folded, if not empty, is what the page shows of the part until a reader
	// opens it. On paper notes stand where they belong, and folded tables, with
	// those behind plots, at the end.
	Folded string
}

// Head begins a part of the section under a smaller heading.
func (s *Section) Head(heading string) { s.Parts = append(s.Parts, Part{Heading: heading}) }

// Say adds paragraphs. Empty ones are left out, here and below: who has nothing
// to say need not ask.
func (s *Section) Say(paragraphs ...string) {
	for _, text := range paragraphs {
		if text != "" {
			s.Parts = append(s.Parts, Part{Text: text})
		}
	}
}

// Explain adds paragraphs in small print, on how to read what stands above.
func (s *Section) Explain(paragraphs ...string) {
	for _, text := range paragraphs {
		if text != "" {
			s.Parts = append(s.Parts, Part{Small: text})
		}
	}
}

// List adds a list.
func (s *Section) List(points ...string) {
	if len(points) > 0 {
		s.Parts = append(s.Parts, Part{Points: points})
	}
}

// Note adds notes that are folded under what they are about, such as "Notes on
// these figures".
func (s *Section) Note(about string, notes ...string) {
	if len(notes) > 0 {
		s.Parts = append(s.Parts, Part{Notes: notes, Folded: about})
	}
}

// Show adds tables.
func (s *Section) Show(tables ...Table) {
	for _, t := range tables {
		if len(t.Rows) > 0 {
			s.Parts = append(s.Parts, Part{Table: &t})
		}
	}
}

// Fold adds a table that the page folds under what it says of it.
func (s *Section) Fold(about string, t Table) {
	if len(t.Rows) > 0 {
		s.Parts = append(s.Parts, Part{Table: &t, Folded: about})
	}
}

// Draw adds plots.
func (s *Section) Draw(plots ...Plot) {
	for _, p := range plots {
		s.Parts = append(s.Parts, Part{Plot: &p})
	}
}
