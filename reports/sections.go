package reports

import (
	"fmt"
	"slices"
	"strings"

	"beadspan/study/climate"
)

// Sections are the report after its answer, in the order in which the page and
// the printed report show them.
func (r *Report) Sections() []Section {
	plots := r.Plots()
	var sections []Section
	if len(r.Life.Rows) > 0 {
		sections = append(sections, r.lifeSection(plots), r.climateLifeSection(plots), r.climateSection(plots), r.jobSection())
	}
	if decay := r.decaySection(plots); len(decay.Parts) > 0 {
		sections = append(sections, decay)
	}
	sections = append(sections, r.Further...)
	if len(r.Life.Rows) > 0 {
		sections = append(sections, r.Flow.section(r.Study.Protocol.Metric), r.qualitySection(), r.decidedSection(), r.reviewSection())
	}
	return append(sections, r.historySection(), r.methodSection(), r.referenceSection(), cautionSection(), r.againSection())
}

func (r *Report) lifeSection(plots []Plot) Section {
	s := Section{Name: "life", Heading: "How long patches last"}
	s.addLife(r.Life)
	var medians []string
	for _, row := range r.Life.Rows {
		if words := row.visitDateWords(); words != "" {
			medians = append(medians, words)
		}
	}
	if len(medians) > 0 {
		s.Say("A common mistake is to take the day of the checkup for the day on which a patch was spent. The median would then read " + listed(medians) + ".")
	}
	s.Draw(plotsNamed(plots, "survival")...)
	return s
}

// addLife adds a table of life with its comparisons and notes.
func (s *Section) addLife(l *Life) {
	s.Show(l.Table())
	for _, c := range l.Comparisons {
		s.Say(c.Sentence())
	}
	s.Note("Notes on these figures", l.gatheredNotes()...)
}

func (r *Report) climateLifeSection(plots []Plot) Section {
	s := Section{Name: "climate-life", Heading: "Life by climate"}
	life := r.ClimateLife
	if drawn := plotsNamed(plots, lifeByClimate); len(drawn) > 0 {
		s.Draw(drawn...)
	} else {
		s.Say(life.Sentence())
	}
	if len(life.Coatings) > 0 {
		s.Show(life.OutlookTable())
		s.Explain(life.OutlookWords())
	}
	if factors := life.FactorTable(); len(factors.Rows) > 0 {
		s.Show(factors)
		s.Explain(life.FactorWords())
	}
	s.Note("Notes on life by climate", life.Notes...)

	s.Head("Which clock coatings keep")
	s.Say(r.Clocks.Sentence())
	for _, t := range r.Clocks.Tables() {
		s.Fold("The clocks compared: "+t.Caption, t)
	}
	s.Note("Notes on the clocks", r.Clocks.Notes...)

	s.Head("Where the vehicles live")
	s.Show(r.SiteWeather)
	s.Explain(append([]string{weatherWords()}, climate.Credits()...)...)
	return s
}

func (r *Report) climateSection(plots []Plot) Section {
	s := Section{Name: "climate", Heading: "Each climate by itself"}
	words := "Climates are Köppen-Geiger classes of the places where the vehicles live"
	if classes := r.climateWords(); classes != "" {
		words += ": " + classes
	}
	s.Say(words + ".")
	s.addLife(r.ByClimate)
	for _, p := range plots {
		if strings.HasPrefix(p.Name, "climate-") {
			s.Draw(p)
		}
	}
	return s
}

// climateWords explains the climates of the table.
func (r *Report) climateWords() string {
	var words []string
	for _, row := range r.ByClimate.Rows {
		if meaning := climate.Words(row.Climate); meaning != "" {
			words = append(words, row.Climate+" is "+meaning)
		}
	}
	slices.Sort(words)
	return strings.Join(slices.Compact(words), "; ")
}

func (r *Report) jobSection() Section {
	s := Section{Name: "job", Heading: "What the coating job did"}
	s.Say(r.JobEffects.Sentence())
	s.Show(r.JobEffects.Tables()...)
	s.Note("Notes on the coating job", r.JobEffects.Notes...)
	return s
}

func (r *Report) decidedSection() Section {
	s := Section{Name: "decided", Heading: "What the rules decided"}
	s.Say("Uncoated control panels are not counted here.")
	s.Show(decidedTable(r.Decided, r.Study.Protocol))
	if len(r.Practice) > 0 {
		s.Head("Jobs and care that left common practice")
		s.Say("Common practice has no source, and the maker’s sheet comes first. All of these are counted in the figures.")
		s.Show(practiceTable(r.Practice))
	}
	return s
}

func (r *Report) reviewSection() Section {
	s := Section{Name: "look", Heading: "Needs looking at"}
	groups := reviewGroups(r.Reviews)
	if len(groups) == 0 {
		s.Say("Nothing: no reading contradicts another.")
	}
	for _, g := range groups {
		s.Head(g.Heading)
		s.Say(g.Advice)
		s.Fold("Which ones", g.Table)
	}
	return s
}

func (r *Report) methodSection() Section {
	s := Section{Name: "method", Heading: "How the figures came about"}
	s.List(r.methodWords()...)
	return s
}

func cautionSection() Section {
	s := Section{Name: "caution", Heading: "Cautions"}
	s.List(cautions()...)
	return s
}

// againSection lists what the report's figures depend on.
func (r *Report) againSection() Section {
	s := Section{Name: "again", Heading: "To make this report again"}
	o, protocol := r.Options, r.Study.Protocol
	t := Table{Caption: "What the figures depend on", Head: []string{"What", "Which"}}
	t.add("Study", r.Study.Code)
	t.add("Protocol", fmt.Sprintf("metric %s, threshold %g %s, confirm %d, estimand %s",
		protocol.Metric, protocol.Threshold, protocol.Metric.Unit(), protocol.Confirm, protocol.Estimand))
	t.add("Confidence level", confidence(o.Level))
	t.add("Bootstrap", fmt.Sprintf("%d replicates over vehicles, seed %d", o.BootstrapReplicates, o.Seed))
	t.add("Data", strings.Join([]string{vehicles(r.Size.Vehicles), patches(r.Size.Patches), count(r.Size.Checkups, "checkup", "checkups"),
		count(r.Size.Readings, "reading", "readings"), count(r.Size.Care, "care record", "care records")}, ", "))
	if sum := o.Provenance.DataSHA256; sum != "" {
		t.add("SHA-256 of the data", sum)
	}
	t.add("Program", "beadspan "+o.Version)
	if schema := o.Provenance.Schema; schema != "" {
		t.add("Database tables as of", schema)
	}
	t.add("Made", o.Made.String())
	s.Show(t)
	if o.Provenance.DataSHA256 != "" {
		s.Explain("The sum is that of the files " + listed(DataFiles()) + " of the bundle’s folder csv, one after the other in this order: cat them, in that folder, to sha256sum.")
	}
	return s
}

func plotsNamed(plots []Plot, name string) []Plot {
	return slices.DeleteFunc(slices.Clone(plots), func(p Plot) bool { return p.Name != name })
}
