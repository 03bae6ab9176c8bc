package web

import (
	"context"
	"net/http"
	"slices"

	"beadspan/reports"
	"beadspan/study"
)

func (s *Server) claimsRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/claims", needs: reading, do: s.showClaims},
		{pattern: "GET /studies/{study}/claims.csv", needs: reading, do: s.sendClaims},
	}
}

// claims are makers' claims held against the records, with plots drawn. They
// name no vehicle.
type claims struct {
	*reports.Claims
	plots []drawnPlot
	names map[string]string // of coatings, by code
}

var claimsFigure = figure[*claims]{"claims", func(ctx context.Context, in figureInput) (*claims, error) {
	options := reports.DefaultClaimOptions(in.study.Protocol.Claim)
	options.Progress = in.progress
	judged, err := reports.NewClaims(ctx, in.fleet.Coatings, in.fleet.Follow(in.study.Protocol), options)
	if err != nil {
		return nil, err
	}
	c := &claims{Claims: judged, names: map[string]string{}}
	for _, coating := range in.fleet.Coatings {
		c.names[coating.Code] = coating.Name
	}
	c.plots, err = drawn("claim", judged.Plots())
	return c, err
}}

// claimsPage holds makers' claims against what the study has seen.
type claimsPage struct {
	Claims found[*claims]
	Rule   study.ClaimRule
	Rows   []claimedCoating
}

// claimedCoating is the verdict on one coating.
type claimedCoating struct {
	reports.ClaimRow
	Name  string
	Plots []drawnPlot // one, if there is enough for it
}

func (s *Server) showClaims(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	page := claimsPage{Rule: v.study.Protocol.Claim}
	var err error
	if page.Claims, err = lookUp(v.records, claimsFigure, s.today()); err != nil {
		return err
	}
	if page.Claims.Ready {
		c := page.Claims.Value
		for _, row := range c.Rows {
			one := claimedCoating{ClaimRow: row, Name: c.names[row.Coating]}
			if i := slices.IndexFunc(c.plots, func(p drawnPlot) bool { return p.Name == row.PlotName() }); i >= 0 {
				one.Plots = c.plots[i : i+1]
			}
			page.Rows = append(page.Rows, one)
		}
	}
	return s.render(w, v, http.StatusOK, "claims.html", v.say.text("claims.title"), page)
}

// sendClaims sends the verdicts as a file, at full precision.
func (s *Server) sendClaims(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	c, err := lookUp(v.records, claimsFigure, s.today())
	if err != nil {
		return err
	}
	if !c.Fresh {
		return errNotReady
	}
	asFile(w, "text/csv; charset=utf-8", v.study.Code+"-claims.csv")
	return c.Value.WriteCSV(w)
}
