package reports

import (
	"io"
	"strconv"
	"time"

	"beadspan/study"
)

// reportRecord is what a report says beside what Life, ClimateLife, Decays and
// others write themselves, as machines read it.
type reportRecord struct {
	Study      string  `json:"study"`
	Question   string  `json:"question"`
	Metric     string  `json:"metric"`
	Threshold  float64 `json:"threshold"`
	Unit       string  `json:"threshold_unit"`
	Confirm    int     `json:"confirm"`
	Estimand   string  `json:"estimand"`
	Level      float64 `json:"confidence_level"`
	Replicates int     `json:"bootstrap_replicates"`
	Seed       uint64  `json:"seed"`

	Made       study.Day `json:"made"`
	Version    string    `json:"program_version"`
	Schema     string    `json:"database_tables"`
	DataSHA256 string    `json:"data_sha256"`

	Size      study.Size             `json:"size"`
	Standings map[study.Standing]int `json:"patches_by_standing"`
	Flow      *Flow                  `json:"flow"`
	Decided   decidedRecord          `json:"decided"`
	Practice  []practiceRecord       `json:"left_common_practice"`
	Quality   qualityRecord          `json:"quality"`
	Reviews   []reviewRecord         `json:"reviews"`
	Sites     []map[string]any       `json:"sites"`
	Changes   []changeRecord         `json:"rule_changes"`
	Amended   []amendedRecord        `json:"record_corrections"`
}

type practiceRecord struct {
	Why      string `json:"why"`
	Records  int    `json:"records"`
	Vehicles int    `json:"vehicles"`
	Care     bool   `json:"of_care"`
}

type reviewRecord struct {
	Kind   study.ReviewKind `json:"kind"`
	Seen   string           `json:"seen"`
	Visits int              `json:"visits"`
}

type changeRecord struct {
	Day    string `json:"day"`
	Field  string `json:"field"`
	Before string `json:"before"`
	After  string `json:"after"`
	Why    string `json:"why"`
}

type amendedRecord struct {
	State  study.AmendmentState `json:"state"`
	Number int                  `json:"corrections"`
	Fields int                  `json:"fields"`
}

// decidedRecord is study.Decided with names for machines.
type decidedRecord struct {
	Patches         int `json:"patches"`
	Visits          int `json:"visits"`
	Spent           int `json:"spent_patches"`
	Masked          int `json:"masked_visits"`
	DoubtfulVisits  int `json:"doubtful_visits"`
	Cancelled       int `json:"cancelled_fails"`
	Pending         int `json:"pending_patches"`
	Contrary        int `json:"contrary_visits"`
	PassedAfter     int `json:"passes_after_spent"`
	LeftCensored    int `json:"spent_without_proof_before"`
	LateEntry       int `json:"enrolled_late"`
	NeverHeld       int `json:"enrolled_late_never_held"`
	NeverConclusive int `json:"never_conclusively_read"`
	CutByTopper     int `json:"cut_by_topper"`
	CutByCare       int `json:"cut_by_care"`
	VisitsAfterCut  int `json:"visits_after_cut"`
}

// WriteJSON writes counts, data quality and settings of the report for machines.
// Its estimates are in what Life, ClimateLife and the others write.
func (r *Report) WriteJSON(w io.Writer) error {
	p, o := r.Study.Protocol, r.Options
	record := reportRecord{
		Study: r.Study.Code, Question: r.Study.Question,
		Metric: string(p.Metric), Threshold: p.Threshold, Unit: p.Metric.Unit(), Confirm: p.Confirm, Estimand: string(p.Estimand),
		Level: o.Level, Replicates: o.BootstrapReplicates, Seed: o.Seed,
		Made: o.Made, Version: o.Version, Schema: o.Provenance.Schema, DataSHA256: o.Provenance.DataSHA256,
		Size: r.Size, Standings: map[study.Standing]int{}, Flow: r.Flow, Decided: decidedRecord(r.Decided),
		Practice: []practiceRecord{}, Quality: r.Quality.record(r.Decided), Reviews: []reviewRecord{}, Sites: []map[string]any{},
		Changes: []changeRecord{}, Amended: []amendedRecord{},
	}
	for _, s := range r.Standings {
		record.Standings[s.Standing] = s.Patches
	}
	for _, c := range r.Practice {
		record.Practice = append(record.Practice, practiceRecord(c))
	}
	for _, g := range countReviews(r.Reviews) {
		record.Reviews = append(record.Reviews, reviewRecord{g.review.What, g.review.Seen(), g.visits})
	}
	for _, row := range r.SiteWeather.Rows {
		site := map[string]any{}
		for i, cell := range row {
			site[r.SiteWeather.Head[i]] = cell
			if x, err := strconv.ParseFloat(cell, 64); err == nil {
				site[r.SiteWeather.Head[i]] = x
			}
		}
		record.Sites = append(record.Sites, site)
	}
	for _, change := range o.Provenance.Changes {
		for _, c := range change.Changes {
			record.Changes = append(record.Changes, changeRecord{change.At.UTC().Format(time.DateOnly), c.Field, c.Before, c.After, change.Why})
		}
	}
	record.Amended = countAmendments(o.Provenance.Amendments)
	return writeRecord(w, "report", record)
}
