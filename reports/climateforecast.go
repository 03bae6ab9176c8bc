package reports

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"beadspan/stats/survival/pooled"
	"beadspan/study/climate"
	"beadspan/study/exposure"
)

// ErrNoForecast is returned where a study can't tell of places that aren't in
// it.
var ErrNoForecast = errors.New("no forecast")

// ClimateForecast tells what may be expected of each coating at a place that
// isn't in the study.
type ClimateForecast struct {
	Level        float64
	Place, Class string
	// UVMJm2 is what an average patch of the study would get there in a year;
	// nil where how cloudy it is isn't known.
	UVMJm2 *float64
	ByUV   bool // the forecast rests on it
	Rows   []ForecastRow
	Notes  []string
}

// ForecastRow is the forecast for one coating.
type ForecastRow struct {
	Coating string
	Life    HalfLife
	// SameClass is its pooled life in the study's climate of the same class; nil
	// where the study has none.
	SameClass *HalfLife
	// LongestMonths is for how long any of its patches was followed.
	LongestMonths float64
}

// Forecast tells of a place by name. Up to five climates in the study it is the
// forecast for any new climate: a draw from those that the study's were drawn
// from. From six on it takes into account the ultraviolet dose there, where that
// is known. What a study says of a climate of the same class stands beside it:
// how much places of one class differ the study can't tell.
//
// ErrNoForecast says why there is none.
func (c *ClimateLife) Forecast(place string, at climate.Climate) (*ClimateForecast, error) {
	if c.ClimateSD == nil {
		return nil, fmt.Errorf("%w for %s: %s", ErrNoForecast, place, c.Refused)
	}
	f := &ClimateForecast{Level: c.Level, Place: place, Class: at.Class, UVMJm2: c.sample.ultravioletAt(at)}
	effect, err := c.result.OnLoad(string(exposure.UV), c.loads(exposure.UV))
	if err != nil && !errors.Is(err, pooled.ErrLoad) {
		return nil, fmt.Errorf("forecast for %s: %w", place, err)
	}
	f.ByUV = err == nil && f.UVMJm2 != nil && len(c.result.Places) >= pooled.LeastForecastPlaces
	for _, o := range c.Coatings {
		row := ForecastRow{Coating: o.Coating, Life: o.NewPlace, SameClass: c.pooledIn(o.Coating, at.Class), LongestMonths: o.LongestMonths}
		if f.ByUV {
			median, err := effect.NewPlace(o.Coating, *f.UVMJm2)
			if err != nil {
				return nil, fmt.Errorf("forecast for %s: %w", place, err)
			}
			row.Life = *halfLife(median)
		}
		f.Rows = append(f.Rows, row)
	}
	f.note(c, effect)
	return f, nil
}

// ultravioletAt is the mean year's dose of the study's patches if they lived at
// a place.
func (s *climateSample) ultravioletAt(at climate.Climate) *float64 {
	site := exposure.NewSite(at, nil)
	var moved []climatePatch
	for _, p := range s.patches {
		p.yearly = new(site.Patch(p.Vehicle, p.Patch, exposure.DefaultShelter()).Yearly())
		moved = append(moved, p)
	}
	mean, known := meanLoad(moved, exposure.UV)
	if !known {
		return nil
	}
	return &mean
}

func (f *ClimateForecast) note(c *ClimateLife, effect *pooled.LoadEffect) {
	say := func(format string, args ...any) { f.Notes = append(f.Notes, fmt.Sprintf(format, args...)) }
	n := len(c.result.Places)
	switch {
	case f.ByUV:
		say("It rests on how lives fall with the ultraviolet dose over the %d climates of the study, and on how much climates of one dose differ.", n)
		if *f.UVMJm2 < effect.Low || *f.UVMJm2 > effect.High {
			say("The dose there lies outside of the study’s %.0f to %.0f MJ/m²: the forecast goes beyond what was seen.", effect.Low, effect.High)
		}
	case n < pooled.LeastForecastPlaces:
		say("With %d climates in the study the weather there can’t be taken into account: it takes %d. So this holds for any climate that is as likely good or bad for coatings as the study’s, and it is as wide as that makes it.",
			n, pooled.LeastForecastPlaces)
	case f.UVMJm2 == nil:
		say("The ultraviolet dose there isn’t known, so the forecast is that for any climate: tell how cloudy it is.")
	default:
		say("The ultraviolet dose isn’t known of all climates in the study, so the forecast is that for any climate.")
	}
	if c.pooledIn(c.Coatings[0].Coating, f.Class) != nil {
		say("The study has a climate of the same class. If this place is like it, its lives are the better guess; how much places of one class differ the study can’t tell.")
	}
	if strings.Contains(fmt.Sprint(f.Table().Rows), " *") {
		f.Notes = append(f.Notes, beyondNote)
	}
	say("Limits are for the time by which half of the patches are spent, not for one car.")
	say("A forecast is an estimate from other vehicles elsewhere. It is not a warranty.")
}

// Table is the forecast's.
func (f *ClimateForecast) Table() Table {
	t := Table{Caption: "Half spent by, months, with " + confidence(f.Level) + " limits", Head: []string{"Coating", "Forecast"}}
	same := f.Rows[0].SameClass != nil
	if same {
		t.Head = append(t.Head, "In the study’s "+f.Class)
	}
	for _, row := range f.Rows {
		cells := []string{row.Coating, row.Life.String() + row.Life.beyond(row.LongestMonths)}
		if same {
			cells = append(cells, row.SameClass.String()+row.SameClass.beyond(row.LongestMonths))
		}
		t.add(cells...)
	}
	return t
}

// heading names the place, its climate and its dose.
func (f *ClimateForecast) heading() string {
	words := "Forecast for " + f.Place
	if f.Class != "" {
		words += ": " + classWords(f.Class)
	}
	if f.UVMJm2 != nil {
		words += fmt.Sprintf(", %.0f MJ/m² of ultraviolet a year on an average patch", *f.UVMJm2)
	}
	return words + "."
}

// WriteText writes the forecast for a terminal.
func (f *ClimateForecast) WriteText(w io.Writer) error {
	var b strings.Builder
	writeParagraph(&b, f.heading())
	b.WriteString("\n" + f.Table().text() + "\n\n")
	for _, note := range f.Notes {
		writeNote(&b, note)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write forecast as text: %w", err)
	}
	return nil
}

// WriteJSON writes the forecast for machines.
func (f *ClimateForecast) WriteJSON(w io.Writer) error {
	type row struct {
		Coating   string        `json:"coating"`
		Life      *halfLifeJSON `json:"forecast"`
		SameClass *halfLifeJSON `json:"in_studys_climate_of_same_class"`
		Longest   float64       `json:"longest_follow_up_months"`
	}
	out := struct {
		Place  string   `json:"place"`
		Level  float64  `json:"confidence_level"`
		Class  *string  `json:"class"`
		Words  string   `json:"class_words"`
		UVMJm2 *float64 `json:"uv_mj_m2_year_average_patch"`
		ByUV   bool     `json:"rests_on_uv"`
		Rows   []row    `json:"coatings"`
		Notes  []string `json:"notes"`
	}{f.Place, f.Level, name(f.Class), climate.Words(f.Class), f.UVMJm2, f.ByUV, nil, f.Notes}
	for _, r := range f.Rows {
		out.Rows = append(out.Rows, row{r.Coating, r.Life.record(), r.SameClass.record(), r.LongestMonths})
	}
	return writeRecord(w, "forecast", out)
}
