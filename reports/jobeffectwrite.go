package reports

import (
	"fmt"
	"io"
	"strings"
)

// Sentence tells in plain words which conditions were shown to matter.
func (e *JobEffects) Sentence() string {
	estimated := 0
	var shown []string
	for _, effect := range e.Effects {
		estimated += one(effect.Why == "")
		if effect.Why == "" && effect.Shown {
			shown = append(shown, effect.words())
		}
	}
	switch {
	case estimated == 0:
		return "Nothing can be said of what job conditions do to life: there is too little variation to learn from."
	case len(shown) == 0:
		return fmt.Sprintf("Of %s looked at, none changed lives by more than chance would. That does not show that they don’t matter: the limits say how much they may.",
			count(estimated, "effect of job conditions", "effects of job conditions"))
	}
	return fmt.Sprintf("Of %s looked at, %s shown: %s.", count(estimated, "effect of job conditions", "effects of job conditions"),
		count(len(shown), "is", "are"), strings.Join(shown, "; "))
}

// words tells one effect.
func (e JobEffect) words() string {
	return fmt.Sprintf("%s %s went with lives %.2f times as long (%s)", e.Condition, e.Contrast, e.Ratio, ratioLimits(e.Limits))
}

func ratioLimits(l Limits) string { return fmt.Sprintf("%.2f–%.2f", l.Low, l.High) }

// Tables holds the effects that were estimated; nothing when none was.
func (e *JobEffects) Tables() []Table {
	t := Table{Caption: "Life with a job condition, as a multiple of life without",
		Head: []string{"Condition", "Spent/with", "without", "Life times", confidence(e.Level) + " limits", "p"}}
	for _, effect := range e.Effects {
		if effect.Why != "" {
			continue
		}
		name, without := effect.Condition+" "+effect.Contrast, "–"
		if effect.Against != "" {
			name += ", against " + effect.Against
			without = fmt.Sprintf("%d/%d", effect.Without.Spent, effect.Without.Patches)
		}
		t.add(name, fmt.Sprintf("%d/%d", effect.With.Spent, effect.With.Patches), without,
			fmt.Sprintf("%.2f", effect.Ratio), ratioLimits(effect.Limits), pWords(effect.Adjusted))
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []Table{t}
}

// WriteText writes the effects for a terminal.
func (e *JobEffects) WriteText(w io.Writer) error {
	var b strings.Builder
	writeParagraph(&b, e.Sentence())
	for _, t := range e.Tables() {
		b.WriteString("\n" + t.text() + "\n")
	}
	b.WriteString("\n")
	for _, effect := range e.Effects {
		if effect.Why != "" {
			writeNote(&b, fmt.Sprintf("%s %s: %s.", effect.Condition, effect.Contrast, effect.Why))
		}
	}
	for _, note := range e.Notes {
		writeNote(&b, note)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write effects of job conditions as text: %w", err)
	}
	return nil
}

type jobEffectsRecord struct {
	Sentence string            `json:"sentence"`
	Level    float64           `json:"confidence_level"`
	Law      *string           `json:"distribution"`
	Vehicles int               `json:"n_vehicles"`
	Patches  int               `json:"n_patches"`
	Spent    int               `json:"n_spent"`
	Effects  []jobEffectRecord `json:"effects"`
	Notes    []string          `json:"notes"`
}

type jobEffectRecord struct {
	Condition string   `json:"condition"`
	Contrast  string   `json:"contrast"`
	Against   *string  `json:"against"`
	With      sideJSON `json:"with"`
	Without   sideJSON `json:"without"`
	Why       *string  `json:"not_estimated_because"`
	Ratio     *float64 `json:"ratio_of_lives"`
	Low       *float64 `json:"ratio_lower"`
	High      *float64 `json:"ratio_upper"`
	P         *float64 `json:"p_value"`
	Adjusted  *float64 `json:"p_value_adjusted"`
	Shown     *bool    `json:"shown"`
}

type sideJSON struct {
	Vehicles int `json:"n_vehicles"`
	Patches  int `json:"n_patches"`
	Spent    int `json:"n_spent"`
}

// WriteJSON writes the effects for machines.
func (e *JobEffects) WriteJSON(w io.Writer) error {
	return writeRecord(w, "effects of job conditions", e.record())
}

func (e *JobEffects) record() jobEffectsRecord {
	r := jobEffectsRecord{Sentence: e.Sentence(), Level: e.Level, Vehicles: e.Vehicles, Patches: e.Patches, Spent: e.Spent,
		Effects: []jobEffectRecord{}, Notes: e.Notes}
	if e.Law != "" {
		r.Law = &e.Law
	}
	for _, effect := range e.Effects {
		side := func(s JobSide) sideJSON { return sideJSON{s.Vehicles, s.Patches, s.Spent} }
		record := jobEffectRecord{Condition: effect.Condition, Contrast: effect.Contrast, With: side(effect.With), Without: side(effect.Without)}
		if effect.Against != "" {
			record.Against = &effect.Against
		}
		if effect.Why != "" {
			record.Why = &effect.Why
		} else {
			record.Ratio, record.Low, record.High = finite(effect.Ratio), finite(effect.Limits.Low), finite(effect.Limits.High)
			record.P, record.Adjusted, record.Shown = finite(effect.P), finite(effect.Adjusted), &effect.Shown
		}
		r.Effects = append(r.Effects, record)
	}
	return r
}
