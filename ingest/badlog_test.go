package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestBadLogs holds every kind of fault, and all that is said of it.
func TestBadLogs(t *testing.T) {
	const (
		patches  = "vehicle,code,coating,panel,orientation,substrate,finish,applied,layers\n"
		checkups = "vehicle,date,stage,patch,angle_1_deg,angle_2_deg,bead_grade,operator,visit_note\n"
	)
	for name, test := range map[string]struct {
		files map[string]string // instead of the small log's; empty: not there
		want  []string
	}{
		"tables missing": {
			map[string]string{"coatings.csv": "", "sites.csv": "", "vehicles.csv": "", "patches.csv": ""},
			[]string{
				"coatings.csv: this table is missing: a log needs coatings, sites, vehicles and patches",
				"sites.csv: this table is missing: a log needs coatings, sites, vehicles and patches",
				"vehicles.csv: this table is missing: a log needs coatings, sites, vehicles and patches",
				"patches.csv: this table is missing: a log needs coatings, sites, vehicles and patches",
			},
		},
		"tables under other names": {
			map[string]string{"coatings.csv": "", "coating.csv": "code\nC-20\n", "checkups.csv": "", "check-ups.csv": "x\n"},
			[]string{
				`coatings.csv: this table is missing; did you mean it by "coating.csv"?`,
				`checkups.csv: this table is missing; did you mean it by "check-ups.csv"?`,
			},
		},
		"table there twice": {
			map[string]string{"CARE.csv": "vehicle,date,kind\n"},
			[]string{"care.csv: this table is there twice, see CARE.csv: expected it once"},
		},
		"empty tables": {
			map[string]string{"care.csv": "\n\n", "checkups.csv": " "},
			[]string{
				"checkups.csv: it is empty: expected a row of headings",
				"care.csv: it is empty: expected a row of headings",
			},
		},
		"no headings": {
			map[string]string{"coatings.csv": "C-20,flexible\n"},
			[]string{"coatings.csv, row 1: expected a row of headings such as code, name"},
		},
		"required columns missing, a heading twice": {
			map[string]string{"vehicles.csv": "\ncode,sites,garage,Garage\nV-1,HARBOUR,carport,carport\nV-2,HARBOUR,shed,\n"},
			[]string{
				"vehicles.csv, row 2, garage: this column is there twice",
				`vehicles.csv, row 2, site: this column is required and missing; did you mean it by "sites"?`,
				"vehicles.csv, row 2, enrolled: this column is required and missing",
				`vehicles.csv, row 4, garage: "shed": expected one of indoors, carport, outdoors`,
			},
		},
		"required cells blank": {
			map[string]string{"patches.csv": patches + "V-1,P1,C-20,,,film,,,\n,P1,,,horizontal,film,gloss,2025-03-03,\nV-1,P2,BARE,door,vertical,paint,matte,2025-03-03,"},
			[]string{
				"patches.csv, row 2, panel: expected something here, such as bonnet",
				"patches.csv, row 2, orientation: expected something here: one of horizontal, vertical",
				"patches.csv, row 2, finish: expected something here: one of gloss, satin, matte",
				"patches.csv, row 2, applied: expected something here, such as 2025-03-03",
				"patches.csv, row 3, vehicle: expected something here, such as V-017",
				"patches.csv, row 3, coating: expected something here, such as C-20",
				"patches.csv, row 3, panel: expected something here, such as bonnet",
			},
		},
		"cells that are no numbers, dates or words": {
			map[string]string{
				"sites.csv":    "code,latitude,longitude,climate,altitude_m,temp_c_monthly,rain_mm_monthly\nHARBOUR,north,4.5.1,Xyz,\"1,200\",1 2 3,1 2 3 4 5 6 7 8 9 10 11 x\n",
				"vehicles.csv": "code,site,enrolled,km_per_year\nV-1,HARBOUR,04.03.2025,12 000\nV-2,HARBOUR,2025-02-30,\"1.234,5\"\n",
				"care.csv":     "",
			},
			[]string{
				`sites.csv, row 2, latitude: "north": expected a number (degrees); leave the cell blank if nobody knows`,
				`sites.csv, row 2, longitude: "4.5.1": expected a number (degrees) without a thousands separator; leave the cell blank if nobody knows`,
				`sites.csv, row 2, altitude_m: "1,200": it could mean thousands or thousandths: expected a number like 12000 or 12.5, without a thousands separator`,
				`sites.csv, row 2, climate: "Xyz": expected one of Af, Am, Aw, BWh, BWk, BSh, BSk, Csa, Csb, Csc, Cwa, Cwb, Cwc, Cfa, Cfb, Cfc, Dsa, Dsb, Dsc, Dsd, Dwa, Dwb, Dwc, Dwd, Dfa, Dfb, Dfc, Dfd, ET, EF`,
				`sites.csv, row 2, temp_c_monthly: "1 2 3": expected twelve numbers with spaces between them, January first, not 3`,
				`sites.csv, row 2, rain_mm_monthly: "1 2 3 4 5 6 7 8 9 10 11 x": "x" is not a number: expected twelve numbers (mm) with spaces between them`,
				`vehicles.csv, row 2, enrolled: "04.03.2025": day or month first? say which with --dates dmy or --dates mdy, or write 2025-03-04`,
				`vehicles.csv, row 2, km_per_year: "12 000": expected a number (km) without a thousands separator; leave the cell blank if nobody knows`,
				`vehicles.csv, row 3, enrolled: "2025-02-30": there is no day 30 of month 02 in 2025`,
				`vehicles.csv, row 3, km_per_year: "1.234,5": expected a number (km) without a thousands separator; leave the cell blank if nobody knows`,
			},
		},
		"values out of range": {
			map[string]string{
				"coatings.csv": "code,control,claim_low_months,claim_high_months\nC-20,maybe,24,12\nBARE,yes,-1,\nC 30,no,,\n",
				"checkups.csv": checkups + "V-1,2025-04-12,decon,P1,190,-1,6,A B,\nV-1,2025-04-12,decon,P2,,,,AB,\nV-1,2025-04-12,soaked,P2,x,,4.5,AB,\n",
				"care.csv":     "",
			},
			[]string{
				`coatings.csv, row 2, control: "maybe": expected yes or no`,
				`coatings.csv, row 2, claim_high_months: "12": expected no less than claim_low_months`,
				`coatings.csv, row 3, claim_low_months: "-1": expected 0 to 240 months`,
				`coatings.csv, row 4, code: "C 30": expected a code of 1 to 40 letters, digits and . _ / - without spaces, starting with a letter or digit`,
				`checkups.csv, row 2, angle_1_deg: "190": expected 0 to 180 degrees`,
				`checkups.csv, row 2, angle_2_deg: "-1": expected 0 to 180 degrees`,
				`checkups.csv, row 2, bead_grade: "6": expected a grade from 1 (closed sheet) to 5 (round drops)`,
				`checkups.csv, row 2, operator: "A B": expected a code of 1 to 40 letters, digits and . _ / - without spaces, starting with a letter or digit`,
				"checkups.csv, row 3: nothing was measured: expected a drop angle, a sheet time, a wet share or a bead grade",
				`checkups.csv, row 4, stage: "soaked": expected one of arrival, washed, decon`,
				`checkups.csv, row 4, angle_1_deg: "x": expected a number (degrees); leave the cell blank if nobody knows`,
				`checkups.csv, row 4, bead_grade: "4.5": expected a whole number; leave the cell blank if nobody knows`,
			},
		},
		"codes that nothing has": {
			map[string]string{
				"vehicles.csv": "code,site,enrolled\nV-1,HARBOR,2025-03-04\nV-2,INLAND,2025-03-04\n",
				"patches.csv":  patches + "V-1,P1,c-20,bonnet,horizontal,film,gloss,2025-03-03,\nV-3,P1,C-20,bonnet,horizontal,film,gloss,2025-03-03,\n",
				"checkups.csv": checkups + "V-1,2025-04-12,decon,P7,100,,,,\nV1,2025-04-12,decon,P1,100,,,,\n",
				"care.csv":     "vehicle,date,kind,patch\nV-2,2025-04-12,clay,P1\n",
			},
			[]string{
				`vehicles.csv, row 2, site: "HARBOR": there is no such site in sites; did you mean "HARBOUR"?`,
				`vehicles.csv, row 3, site: "INLAND": there is no such site in sites`,
				`patches.csv, row 2, coating: "c-20": there is no such coating in coatings; did you mean "C-20"?`,
				`patches.csv, row 3, vehicle: "V-3": there is no such vehicle in vehicles; did you mean "V-1"?`,
				`checkups.csv, row 2, patch: "P7": there is no such patch in patches of vehicle V-1; did you mean "P1"?`,
				`checkups.csv, row 3, vehicle: "V1": there is no such vehicle in vehicles; did you mean "V-1"?`,
				`care.csv, row 2, patch: "P1": there is no such patch in patches of vehicle V-2`,
			},
		},
		"a table that was not read is not searched": {
			map[string]string{"vehicles.csv": "code,site,enrolled\nV-1,HARBOUR,2025-03-04\nV-2,\"HAR\"BOUR,2025-03-04\n"},
			[]string{"vehicles.csv, row 3: a cell in quotation marks doesn't end where it should, up to row 3: expected a closing quotation mark, then a separator"},
		},
		"rows there twice": {
			map[string]string{
				"coatings.csv": "code\nC-20\nBARE\nC-20\n",
				"patches.csv":  patches + "V-1,P1,C-20,bonnet,horizontal,film,gloss,2025-03-03,\nV-1,P1,C-20,roof,horizontal,film,gloss,2025-03-03,\nV-2,P1,C-20,bonnet,horizontal,film,gloss,2025-03-03,\n",
				"checkups.csv": checkups + "V-1,2025-04-12,decon,P1,100,,,AB,rain\nV-1,2025-04-12,decon,P1,101,,,CD,\nV-1,2025-04-12,Decon,P1,100,,,AB,rain\nV-1,2025-04-12,washed,P1,100,,,AB,sun\n",
				"care.csv":     "vehicle,date,kind,patch\nV-1,2025-04-12,clay,\nV-1,2025-04-12,clay,P1\nV-1,2025-04-12,clay,\n",
			},
			[]string{
				`coatings.csv, row 4, code: "C-20": this coating is in row 2 already`,
				`patches.csv, row 3, code: "P1": this patch is in row 2 already`,
				"checkups.csv, row 4: this reading is in row 2 already: same vehicle, date, stage, patch and operator",
				`checkups.csv, row 5, visit_note: "sun": an earlier row of the same checkup says something else: expected one note for both`,
				"care.csv, row 4: this care is in row 2 already: same vehicle, date, kind and patch",
			},
		},
		"dates out of order": {
			map[string]string{
				"checkups.csv": checkups + "V-1,2025-03-03,decon,P1,100,,,,\nV-2,2025-05-31,decon,P1,100,,,,\nV-2,2025-02-01,decon,P1,100,,,,\n",
				"care.csv":     "vehicle,date,kind\nV-1,2026-11-01,clay\nV-1,1989-12-31,clay\nV-1,2020-01-01,clay\n",
			},
			[]string{
				`checkups.csv, row 2, date: "2025-03-03": the vehicle is followed from 2025-03-04: expected no checkup before`,
				`checkups.csv, row 3, date: "2025-05-31": the patch was coated on 2025-06-01: expected no reading before`,
				`checkups.csv, row 4, date: "2025-02-01": the vehicle is followed from 2025-03-04: expected no checkup before`,
				`checkups.csv, row 4, date: "2025-02-01": the patch was coated on 2025-06-01: expected no reading before`,
				`care.csv, row 2, date: "2026-11-01": the date is 2026-11-01, in the future: expected none after 2026-10-31`,
				`care.csv, row 3, date: "1989-12-31": the date is 1989-12-31: expected none before 1990-01-01`,
			},
		},
		"broken CSV": {
			map[string]string{
				"coatings.csv": "code,note\nC-20,5\" drop\nBARE,a,b\nC-9,\n",
				"care.csv":     "vehicle,date,kind,note\nV-1,2025-05-01,clay,\"never closed\nV-1,2025-05-02,clay,\n",
			},
			[]string{
				`coatings.csv, row 2: there is a quotation mark within a cell: put the cell in quotation marks and write the one within twice, as in "5"" drop"`,
				"coatings.csv, row 3: the row has 3 cells and there are 2 headings: a column needs a heading, and a cell that holds the separator needs quotation marks",
				"care.csv, row 2: a cell in quotation marks doesn't end where it should, up to row 3: expected a closing quotation mark, then a separator",
			},
		},
		"not text": {
			map[string]string{
				"coatings.csv": "code\nC-20\n\x00\x01\n",
				"sites.csv":    "code,latitude,longitude,climate,note\nHARBOUR,51.9,4.5,Cfb,Stra\xdfe\n",
				"care.csv":     "PK\x03\x04",
				"checkups.csv": "\xff\xfec\x00o",
			},
			[]string{
				"coatings.csv, row 3: it is not a text file: expected CSV, saved as CSV UTF-8",
				"sites.csv, row 2: there is a letter here that isn't UTF-8: save the table as CSV UTF-8 (in a spreadsheet, Save as, file type CSV UTF-8)",
				"checkups.csv: its last letter is cut in half: save it again as CSV UTF-8",
				"care.csv: it is a zip or a workbook inside: save the table as CSV, or load the workbook by itself",
			},
		},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, test.want, problemsOf(t, with(test.files), Options{}))
		})
	}
}
