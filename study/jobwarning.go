package study

import "fmt"

// Warning is something about a record that common practice would do otherwise.
// It refuses nothing: the record is kept as it is, and whoever made the coating
// may have asked for just that.
type Warning struct {
	Column string // the log's column it is about; empty when several are
	What   string // what is recorded, in plain words
	Why    string // what practice would do, and to what end
}

// String puts the warning into one line.
func (w Warning) String() string { return w.What + ": " + w.Why }

// The limits of practice for a coating job. All of them are common practice in
// the trade, no source; the maker's sheet comes before any of them.
const (
	coldestJobC, warmestJobC     = 10, 25
	dampestJobPct                = 70
	weakestPrepPct               = 30
	strongestPrepPct             = 50
	usualLayers                  = 2
	shortestLayerH, longestLayer = 0.5, 3
	shortestFlashS               = 20
	longestFlashS                = 180
	leastDryH                    = 12
	washFreeDays                 = 7
)

// Warnings says where the conditions of a job leave common practice.
func (j Job) Warnings() []Warning {
	var w warnings
	w.outside("air_temp_c", "coated at %s °C", j.AirTempC, coldestJobC, warmestJobC,
		"10 to 25 °C at the job is usual and near 20 best; in the cold a coating cures slowly, in the heat it flashes before it is level")
	w.above("humidity_pct", "coated at %s %% humidity", j.HumidityPct, dampestJobPct,
		"40 to 45 % humidity is wanted where it can be controlled; damp air can cloud the film")
	w.outside("prep_alcohol_pct", "wiped with %s %% isopropyl alcohol", j.PrepAlcoholPct, weakestPrepPct, strongestPrepPct,
		"30 to 50 % isopropyl alcohol is usual; less leaves oils behind, more dries too fast and can harm soft paint and film")
	w.layers(j)
	w.outside("flash_s", "levelled after %s s", j.FlashS, shortestFlashS, longestFlashS,
		"about a minute from spreading to levelling is usual, less when it is hot")
	w.below("keep_dry_h", "kept dry for %s h", j.KeepDryH, leastDryH,
		"12 h dry is the least and 24 h better; water on a fresh coating leaves marks and stops the cure")
	w.below("days_to_first_wash", "washed after %s days", j.DaysToFirstWash, washFreeDays, noWashYet)
	return w
}

const noWashYet = "no wash for 7 days is usual, so that shampoo meets a cured coating"

// warnings collects what to warn of.
type warnings []Warning

func (w *warnings) layers(j Job) {
	if j.Layers != nil && *j.Layers != usualLayers {
		why := "two layers are usual: the second fills what the first left out"
		if *j.Layers > usualLayers {
			why = "two layers are usual, and a third adds nothing"
		}
		w.add("layers", fmt.Sprintf("laid in %s", counted(*j.Layers, "layer")), why)
	}
	if j.Layers != nil && *j.Layers == 1 && j.LayerIntervalH != nil {
		w.add("layer_interval_h", "a time between layers with one layer", "one of the two is not so")
		return
	}
	w.outside("layer_interval_h", "%s h between layers", j.LayerIntervalH, shortestLayerH, longestLayer,
		"about an hour between layers is usual; sooner disturbs the first layer, later the second may not bond")
}

func (w *warnings) outside(column, what string, x *float64, low, high float64, why string) {
	if x != nil && (*x < low || *x > high) {
		w.add(column, fmt.Sprintf(what, number(*x)), why)
	}
}

func (w *warnings) below(column, what string, x *float64, low float64, why string) {
	if x != nil && *x < low {
		w.add(column, fmt.Sprintf(what, number(*x)), why)
	}
}

func (w *warnings) above(column, what string, x *float64, high float64, why string) {
	if x != nil && *x > high {
		w.add(column, fmt.Sprintf(what, number(*x)), why)
	}
}

func (w *warnings) add(column, what, why string) {
	*w = append(*w, Warning{column, what, why})
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
