package reports

import (
	"encoding/csv"
	"fmt"
	"io"
	"reflect"
	"strings"

	"beadspan/study"
)

// Table is the verdicts for people, a row for each coating.
func (c *Claims) Table() Table {
	t := Table{Caption: "Makers’ claims, with " + confidence(c.Rule.ConfidencePct/100) + " limits", Head: claimHead("coating")}
	for _, row := range c.Rows {
		t.add(row.cells(row.Coating)...)
	}
	return t
}

// ClimateTable is the details, a row for each coating in each climate.
func (c *Claims) ClimateTable() Table {
	t := Table{Caption: "Details: the same claims climate by climate", Head: claimHead("coating, climate")}
	for _, row := range c.Rows {
		for _, detail := range row.ByClimate {
			t.add(detail.cells(detail.Group.String())...)
		}
	}
	return t
}

func claimHead(first string) []string {
	return []string{first, "claim", "verdict", "spent of patches", "outlast its lower end", "outlast its higher end"}
}

func (row ClaimRow) cells(name string) []string {
	cells := []string{name, row.Claim(), verdictWords(row.Verdict), number(row.Spent) + " of " + number(row.Patches), "–", "–"}
	for _, end := range row.Ends {
		cells[map[End]int{LowEnd: 4, HighEnd: 5}[end.End]] = end.cell()
	}
	return cells
}

// cell writes what is known of a share: "62 % (51–72 %)", "78 % or more".
func (end ClaimEnd) cell() string {
	switch end.Basis {
	case ByEstimate:
		return percent(end.Share.Share) + " (" + end.limits() + ")"
	case ByCount:
		return end.limit(end.Limits.Low) + " % or more"
	case ByLastSeen:
		return end.limit(end.Limits.High) + " % or less"
	}
	return "–"
}

// WriteText writes the verdicts for a terminal: each with its reasons, the
// details by climate, and the notes.
func (c *Claims) WriteText(w io.Writer) error {
	var b strings.Builder
	for _, row := range c.Rows {
		writeParagraph(&b, row.Finding())
		for _, words := range row.words() {
			writeNote(&b, words)
		}
		b.WriteString("\n")
	}
	if details := c.ClimateTable(); len(details.Rows) > 0 {
		b.WriteString(details.text() + "\n\n")
	}
	for _, note := range c.Notes {
		writeNote(&b, note)
	}
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write claims as text: %w", err)
	}
	return nil
}

// words are all that is said of a row beside its finding.
func (row ClaimRow) words() []string {
	words := row.Reasons()
	for _, more := range []string{row.ClimateSentence(), row.SecondOpinion(), row.Outlook()} {
		if more != "" {
			words = append(words, more)
		}
	}
	return words
}

// claimRecord is a ClaimRow as machines read it.
type claimRecord struct {
	Coating       string           `json:"coating"`
	Climate       *string          `json:"climate"`
	LowMonths     *float64         `json:"claim_low_months"`
	HighMonths    *float64         `json:"claim_high_months"`
	Verdict       study.Verdict    `json:"verdict"`
	Vehicles      int              `json:"n_vehicles"`
	Patches       int              `json:"n_patches"`
	Spent         int              `json:"n_spent_patches"`
	LongestMonths float64          `json:"longest_follow_up_months"`
	Ends          []claimEndRecord `json:"ends"`
	MoreVehicles  *int             `json:"more_n_vehicles"`
	MoreMonths    *float64         `json:"more_months_each"`
	MoreTotal     *float64         `json:"more_vehicle_months"`
	ByClimate     []claimRecord    `json:"by_climate,omitempty"`
	Sentences     []string         `json:"sentences"`
}

// claimEndRecord is a ClaimEnd as machines read it.
type claimEndRecord struct {
	End           End           `json:"end"`
	Months        float64       `json:"claimed_months"`
	Promised      float64       `json:"share_promised"`
	Verdict       study.Verdict `json:"end_verdict"`
	Basis         Basis         `json:"basis"`
	Share         *float64      `json:"share_outlasting"`
	Low           float64       `json:"share_at_least"`
	High          float64       `json:"share_at_most"`
	Widened       bool          `json:"limits_of_a_count"`
	Held          int           `json:"n_vehicles_held"`
	Counted       int           `json:"n_vehicles_counted"`
	SeenMonths    *float64      `json:"last_seen_months"`
	Weibull       *float64      `json:"weibull_share_outlasting"`
	WeibullLow    *float64      `json:"weibull_share_low"`
	WeibullHigh   *float64      `json:"weibull_share_high"`
	MoreVehicles  *int          `json:"more_n_vehicles"`
	MoreMonths    *float64      `json:"more_months_each"`
	TooNear       bool          `json:"too_near_to_tell"`
	Waiting       int           `json:"n_vehicles_not_yet_there"`
	WaitingMonths float64       `json:"months_they_lack_in_all"`
}

func (row ClaimRow) record() claimRecord {
	r := claimRecord{
		Coating: row.Coating, Climate: name(row.Climate), LowMonths: row.LowMonths, HighMonths: row.HighMonths, Verdict: row.Verdict,
		Vehicles: row.Vehicles, Patches: row.Patches, Spent: row.Spent, LongestMonths: row.LongestMonths,
		Ends: []claimEndRecord{}, Sentences: append([]string{row.Finding()}, row.words()...),
	}
	r.MoreVehicles, r.MoreMonths, r.MoreTotal = row.More.numbers()
	for _, end := range row.Ends {
		r.Ends = append(r.Ends, end.record())
	}
	for _, detail := range row.ByClimate {
		r.ByClimate = append(r.ByClimate, detail.record())
	}
	return r
}

func (end ClaimEnd) record() claimEndRecord {
	r := claimEndRecord{
		End: end.End, Months: end.Months, Promised: end.Promised, Verdict: end.Verdict, Basis: end.Basis,
		Low: end.Limits.Low, High: end.Limits.High, Widened: end.Widened, Held: end.Held, Counted: end.Counted,
		TooNear: end.TooNear, Waiting: end.Waiting, WaitingMonths: end.WaitingMonths,
	}
	r.Share, _, _ = end.Share.numbers()
	r.Weibull, r.WeibullLow, r.WeibullHigh = end.Weibull.numbers()
	r.MoreVehicles, r.MoreMonths, _ = end.More.numbers()
	if end.Basis == ByLastSeen {
		r.SeenMonths = &end.SeenMonths
	}
	return r
}

func (m *MoreFollowUp) numbers() (vehicles *int, months, vehicleMonths *float64) {
	if m == nil {
		return nil, nil, nil
	}
	return &m.Vehicles, &m.Months, &m.VehicleMonths
}

// WriteJSON writes the verdicts for machines: units in the key names, full
// precision, null for what isn't known.
func (c *Claims) WriteJSON(w io.Writer) error {
	out := struct {
		LowPct        float64       `json:"claim_low_pct"`
		HighPct       float64       `json:"claim_high_pct"`
		ConfidencePct float64       `json:"claim_confidence_pct"`
		Replicates    int           `json:"bootstrap_replicates"`
		Seed          uint64        `json:"seed"`
		Rows          []claimRecord `json:"claims"`
		Notes         []string      `json:"notes"`
	}{c.Rule.LowPct, c.Rule.HighPct, c.Rule.ConfidencePct, c.Replicates, c.Seed, []claimRecord{}, c.Notes}
	for _, row := range c.Rows {
		out.Rows = append(out.Rows, row.record())
	}
	return writeRecord(w, "claims", out)
}

// claimLine is an end of a claim as a line of CSV.
type claimLine struct {
	Coating string        `json:"coating"`
	Climate *string       `json:"climate"`
	Verdict study.Verdict `json:"verdict"`
	claimEndRecord
}

// WriteCSV writes a line for each end of each claim, in all climates together
// and then in each, with the names of WriteJSON.
func (c *Claims) WriteCSV(w io.Writer) error {
	lines := [][]string{fieldsOf(reflect.TypeFor[claimLine]())}
	for _, row := range c.Rows {
		for _, r := range append([]ClaimRow{row}, row.ByClimate...) {
			for _, end := range r.Ends {
				lines = append(lines, cellsOf(reflect.ValueOf(claimLine{r.Coating, name(r.Climate), r.Verdict, end.record()})))
			}
		}
	}
	if err := csv.NewWriter(w).WriteAll(lines); err != nil {
		return fmt.Errorf("write claims as csv: %w", err)
	}
	return nil
}
