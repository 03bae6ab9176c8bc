package web

import "beadspan/study"

// apiReading is one patch at one stage of a visit, as programs read and send it.
type apiReading struct {
	Patch       string      `json:"patch" maxLength:"100" doc:"Code of the patch." example:"RF"`
	Stage       study.Stage `json:"stage" enum:"arrival,washed,decon" doc:"As driven in, after the wash, or after a decontamination wash."`
	AnglesDeg   []float64   `json:"angles_deg" required:"false" maxItems:"20" doc:"Contact angle of each drop." example:"[104, 103, 105.5]"`
	SheetTimeS  *float64    `json:"sheet_time_s" required:"false" doc:"Until nine tenths of the panel is clear."`
	WetSharePct *float64    `json:"wet_share_pct" required:"false" doc:"Of the panel, still wet after a minute."`
	BeadGrade   *int        `json:"bead_grade" required:"false" doc:"From 1, a closed sheet, to 5, round drops."`
	Note        string      `json:"note" required:"false" maxLength:"2000"`
}
