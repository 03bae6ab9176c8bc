package web

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"beadspan/study"
	"beadspan/study/store"
)

// apiStudy is a study as programs read it.
type apiStudy struct {
	Code     string         `json:"code"`
	Question string         `json:"question"`
	Protocol apiProtocol    `json:"protocol"`
	CarePlan study.CarePlan `json:"care_plan" doc:"How often vehicles are to be cared for and checked, in days; 0 is never."`
	Role     study.Role     `json:"role" enum:"owner,operator,reader" doc:"What the caller may do in the study."`
	Revision int64          `json:"revision" doc:"Counts the changes of the study's records: the same number, the same records."`
}

type apiProtocol struct {
	Metric       study.Metric   `json:"metric" enum:"angle,sheet_time,wet_share,bead_grade"`
	Threshold    float64        `json:"threshold" doc:"In the metric's unit; a value on it passes."`
	Unit         string         `json:"unit"`
	HigherIsGood bool           `json:"higher_is_good"`
	Confirm      int            `json:"confirm" doc:"How many conclusive fails in a row make a patch spent."`
	Estimand     study.Estimand `json:"estimand" enum:"to_topper,as_maintained" doc:"What a topper does to the life that is asked about."`

	ClaimLowPct        float64 `json:"claim_low_pct" doc:"Of patches that must outlast the lower end of a maker's claim for it to be supported, in per cent."`
	ClaimHighPct       float64 `json:"claim_high_pct" doc:"Of patches that must outlast its higher end."`
	ClaimConfidencePct float64 `json:"claim_confidence_pct" doc:"Of the two-sided limits by which claims are judged."`
}

func newAPIStudy(x store.Access, role study.Role) apiStudy {
	p := x.Study.Protocol
	return apiStudy{
		Code: x.Study.Code, Question: x.Study.Question, CarePlan: x.Study.CarePlan, Role: role, Revision: x.Revision,
		Protocol: apiProtocol{p.Metric, p.Threshold, p.Metric.Unit(), p.Metric.HigherIsGood(), p.Confirm, p.Estimand,
			p.Claim.LowPct, p.Claim.HighPct, p.Claim.ConfidencePct},
	}
}

// apiStudies answers GET /studies.
type apiStudies struct {
	Body struct {
		Studies []apiStudy `json:"studies" nullable:"false"`
	}
}

// apiOfStudy is the input of an operation on one study.
type apiOfStudy struct {
	Study string `path:"study" doc:"Code of the study." example:"S1"`
}

// apiOneStudy answers GET /studies/{study}.
type apiOneStudy struct {
	Body struct {
		apiStudy
		Vehicles int `json:"n_vehicles" doc:"Those that the caller may see."`
	}
}

func (a *api) registerStudies() {
	offer(a, account, huma.Operation{
		OperationID: "list-studies", Method: http.MethodGet, Path: "/studies", Tags: []string{"studies"},
		Summary: "List studies", Description: "Those that the caller may see; of a token, its one.",
	}, a.listStudies)
	offer(a, reading, huma.Operation{
		OperationID: "get-study", Method: http.MethodGet, Path: "/studies/{study}", Tags: []string{"studies"},
		Summary: "Read a study", Description: "Its question and the rules by which patches are judged.",
	}, a.getStudy)
}

func (a *api) listStudies(ctx context.Context, c *caller, _ *struct{}) (*apiStudies, error) {
	accesses, err := a.store.AccessesOf(ctx, c.account)
	if err != nil {
		return nil, err
	}
	out := &apiStudies{}
	out.Body.Studies = []apiStudy{}
	for _, x := range accesses {
		role := x.Membership.Role
		if c.token != nil {
			if x.Study.ID != c.token.StudyID {
				continue
			}
			role = role.Within(c.token.Role)
		}
		out.Body.Studies = append(out.Body.Studies, newAPIStudy(x, role))
	}
	return out, nil
}

func (a *api) getStudy(ctx context.Context, c *caller, _ *apiOfStudy) (*apiOneStudy, error) {
	out := &apiOneStudy{}
	var err error
	if out.Body.Vehicles, err = c.records.countVehicles(ctx); err != nil {
		return nil, err
	}
	out.Body.apiStudy = newAPIStudy(store.Access{Study: c.study, Revision: c.records.revision}, c.role)
	return out, nil
}
