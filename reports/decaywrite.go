package reports

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"beadspan/study"
)

// Decays are those of the coatings of a study.
type Decays []Decay

// Tables hold the curve through all readings of each coating, its typical patch,
// and the lives by curves and by checkups; those without rows are left out.
func (all Decays) Tables() []Table {
	return slices.DeleteFunc([]Table{all.meansTable(), all.typicalTable(), all.livesTable()}, func(t Table) bool { return len(t.Rows) == 0 })
}

func (all Decays) meansTable() Table {
	t := Table{
		Caption: "One curve through all clean readings, by least squares",
		Head:    []string{"Coating", "Vehicles", "Patches", "Readings", "Floor", "Start", "τ, months", all.fallsHead()},
	}
	for _, d := range all {
		row := []string{d.Coating, number(d.Vehicles), number(d.Patches), number(len(d.Readings))}
		switch c := d.Curve; {
		case c == nil:
			row = append(row, "–", "–", "–", "–")
		case !c.Falls:
			row = append(row, "–", tenths(c.Start.Value), "–", "no fall seen")
		default:
			row = append(row, tenths(c.Floor.Value), tenths(c.Start.Value), months(c.Tau.Value/study.DaysPerMonth), fallCell(d.Crossing, c.Last))
		}
		t.add(row...)
	}
	return t
}

func (all Decays) typicalTable() Table {
	t := Table{
		Caption: "The typical patch, by a curve for each patch (mixed model)",
		Head:    []string{"Coating", "Shape", "Floor", "Start", "τ, months", "τ varies by", all.fallsHead()},
	}
	for _, d := range all {
		if p := d.Population; p != nil {
			t.add(d.Coating, p.shapeCell(), tenths(p.Floor.Value), tenths(p.Start.Value), months(p.Tau.Value/study.DaysPerMonth), spreadCell(p), fallCell(p.Crossing, p.last))
		}
	}
	return t
}

// spreadCell writes by what share τ differs from patch to patch, of one SD.
func spreadCell(p *DecayPopulation) string {
	sd := p.PatchSD
	if p.VehicleSD != nil {
		sd = math.Hypot(sd, *p.VehicleSD)
	}
	return percent(math.Expm1(sd))
}

func (all Decays) livesTable() Table {
	t := Table{
		Caption: "Half of the patches spent by, months",
		Head:    []string{"Coating", "By curves", "By checkups", "Life by curves"},
	}
	for _, d := range all {
		if d.Population == nil || d.Population.Life == nil {
			continue
		}
		implied := d.Population.Life
		seen, longer := "–", "–"
		if a := implied.Agreement; a != nil {
			seen, longer = a.Seen.String(), longerWords(a.LeastLonger, a.MostLonger)
		}
		t.add(d.Coating, implied.Median.String(), seen, longer)
	}
	return t
}

// fallsHead heads the columns of when curves come down to the threshold.
func (all Decays) fallsHead() string {
	if len(all) == 0 || all[0].ThresholdDeg == nil {
		return "No threshold"
	}
	return "Falls to " + degrees(*all[0].ThresholdDeg) + " by, months"
}

// WriteText writes the decays for a terminal: tables, how far the lives agree,
// and the notes.
func (all Decays) WriteText(w io.Writer) error {
	var b strings.Builder
	if len(all) == 0 {
		writeNote(&b, "There are no coated patches to tell of.")
	}
	for _, t := range all.Tables() {
		b.WriteString(t.text() + "\n\n")
	}
	if len(all.typicalTable().Rows) > 0 {
		writeNote(&b, "τ varies by: how much longer it is for a patch one standard deviation slower than the typical one.")
	}
	for _, d := range all {
		if words := d.LivesFinding(); words != "" {
			writeNote(&b, words+". "+d.Population.Life.Agreement.Sentence())
		}
		if d.Unmodelled != "" {
			writeNote(&b, d.Coating+": "+d.Unmodelled)
		}
	}
	for _, note := range all.gatheredNotes() {
		writeNote(&b, note)
	}
	if len(all) > 0 {
		writeNote(&b, "An estimate from these vehicles, not a warranty.")
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write decays as text: %w", err)
	}
	return nil
}

// gatheredNotes lists each note once, with the coatings that it is about.
func (all Decays) gatheredNotes() []string {
	var order []string
	about := map[string][]string{}
	add := func(coating, fit string, notes []string) {
		for _, note := range notes {
			note = fit + ": " + note
			if about[note] == nil {
				order = append(order, note)
			}
			about[note] = append(about[note], coating)
		}
	}
	for _, d := range all {
		add(d.Coating, "One curve", d.Notes)
		if d.Population != nil {
			add(d.Coating, "A curve for each patch", d.Population.Notes)
		}
	}
	for i, note := range order {
		order[i] = strings.Join(about[note], ", ") + ". " + note
	}
	return order
}
