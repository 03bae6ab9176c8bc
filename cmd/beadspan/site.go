package main

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"beadspan/cmd/beadspan/internal/siting"
	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/climate"
)

type siteCommand struct {
	Add     siteAddCommand     `cmd:"" help:"Add the place where a vehicle lives, by city or position."`
	List    siteListCommand    `cmd:"" help:"List the sites."`
	Climate siteClimateCommand `cmd:"" help:"Show what a year's weather does at a site, a city or a position."`
}

// Help explains the commands with an example.
func (siteCommand) Help() string {
	return `A site is where a vehicle lives. Its climate class and mean temperatures come from
maps that the program brings along, for any place on land and without a network; what
you know better, say by options.

Example:
  beadspan site climate --city Phoenix --sunshine-h 3870
  beadspan site add north-yard --city Oulu --sunshine-h 1820
  beadspan site list`
}

type siteListCommand struct {
	JSON bool `name:"json" help:"Print JSON at full precision."`
}

// siteRecord is a site for machines.
type siteRecord struct {
	Code               string    `json:"code"`
	Name               string    `json:"name"`
	LatitudeDeg        float64   `json:"latitude_deg"`
	LongitudeDeg       float64   `json:"longitude_deg"`
	AltitudeM          *float64  `json:"altitude_m"`
	Class              string    `json:"class"`
	ClassWords         string    `json:"class_words"`
	UVMJm2Year         *float64  `json:"uv_mj_m2_year"`
	FreezeThawDaysYear *float64  `json:"freeze_thaw_days_year"`
	MeanTempC          []float64 `json:"mean_temp_c"`
	PrecipitationMM    []float64 `json:"precipitation_mm"`
	MaxTempC           []float64 `json:"max_temp_c"`
	MinTempC           []float64 `json:"min_temp_c"`
	SunshineH          []float64 `json:"sunshine_h"`
	CloudPct           []float64 `json:"cloud_pct"`
	HumidityPct        []float64 `json:"humidity_pct"`
	Note               string    `json:"note"`
}

func newSiteRecord(s study.Site) siteRecord {
	return siteRecord{s.Code, s.Name, s.LatitudeDeg, s.LongitudeDeg, s.AltitudeM, s.Koppen, climate.Words(s.Koppen),
		s.UVMJm2Year, s.FreezeThawDaysYear, s.MeanTempC, s.PrecipitationMM, s.MaxTempC, s.MinTempC, s.SunshineH, s.CloudPct, s.HumidityPct, s.Note}
}

// Run lists the sites.
func (c siteListCommand) Run(ctx context.Context, a *app) error {
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	sites, err := s.Sites(ctx)
	if err != nil {
		return err
	}
	if c.JSON {
		records := []siteRecord{}
		for _, site := range sites {
			records = append(records, newSiteRecord(site))
		}
		return writeJSON(a.out, map[string]any{"sites": records, "credits": climate.Credits()})
	}
	if len(sites) == 0 {
		fmt.Fprintln(a.out, "no site yet: 'beadspan site add CODE --city NAME' adds one, and so does a log with sites")
		return nil
	}
	return writeSites(a.out, sites)
}

func writeSites(w io.Writer, sites []study.Site) error {
	t := reports.NewTextTable()
	t.AppendHeader(table.Row{"Site", "Name", "Position", "Climate", "UV MJ/m²", "Freeze-thaw"})
	t.SetColumnConfigs([]table.ColumnConfig{
		{Number: 2, WidthMax: 20, WidthMaxEnforcer: text.WrapSoft},
		{Number: 4, WidthMax: 30, WidthMaxEnforcer: text.WrapSoft},
		{Number: 5, Align: text.AlignRight, AlignHeader: text.AlignRight},
		{Number: 6, Align: text.AlignRight, AlignHeader: text.AlignRight},
	})
	for _, s := range sites {
		t.AppendRow(table.Row{s.Code, s.Name, siting.Position(s.LatitudeDeg, s.LongitudeDeg),
			s.Koppen + ": " + climate.Words(s.Koppen), rounded(s.UVMJm2Year, 0), rounded(s.FreezeThawDaysYear, 0)})
	}
	if _, err := fmt.Fprintln(w, t.Render()); err != nil {
		return err
	}
	_, err := fmt.Fprint(w, "\nUV: dose of a year on a horizontal panel. Freeze-thaw: days a year. -: not known.\n"+creditLines())
	return err
}

// rounded writes what is known with so many decimals, and - for what isn't.
func rounded(x *float64, decimals int) string {
	if x == nil {
		return "-"
	}
	return strconv.FormatFloat(*x, 'f', decimals, 64)
}
