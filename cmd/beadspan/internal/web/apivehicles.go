package web

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"beadspan/study"
	"beadspan/study/store"
)

// apiVehiclesQuery asks for a page of the list of vehicles.
type apiVehiclesQuery struct {
	apiOfStudy
	Search string `query:"search" maxLength:"100" doc:"Part of the code."`
	After  string `query:"after" maxLength:"100" doc:"The page begins after this code: next of the page before."`
	Limit  int    `query:"limit" minimum:"1" maximum:"500" default:"100"`
}

// apiVehicles is a page of the list of vehicles.
type apiVehicles struct {
	Body struct {
		Vehicles []apiVehicleLine `json:"vehicles" nullable:"false"`
		Next     *string          `json:"next" doc:"What after is for the next page; null on the last."`
	}
}

type apiVehicleLine struct {
	Code        string     `json:"code"`
	Site        string     `json:"site" doc:"Code of where it lives."`
	Shop        string     `json:"shop" doc:"Code of the shop that looks after it; empty for none."`
	Patches     int        `json:"n_patches"`
	LastCheckup *study.Day `json:"last_checkup"`
}

// apiVehicleQuery names a vehicle.
type apiVehicleQuery struct {
	apiOfStudy
	Vehicle string `path:"vehicle" maxLength:"100" doc:"Code of the vehicle." example:"V001"`
}

// apiOneVehicle is all that is known of a vehicle.
type apiOneVehicle struct {
	Body apiVehicle
}

func (a *api) registerVehicles() {
	offer(a, reading, huma.Operation{
		OperationID: "list-vehicles", Method: http.MethodGet, Path: "/studies/{study}/vehicles", Tags: []string{"vehicles"},
		Summary: "List vehicles", Description: "In order of code, a page at a time; those that the caller may see.",
	}, a.listVehicles)
	offer(a, reading, huma.Operation{
		OperationID: "get-vehicle", Method: http.MethodGet, Path: "/studies/{study}/vehicles/{vehicle}", Tags: []string{"vehicles"},
		Summary: "Read a vehicle", Description: "Its patches and how they stand, every checkup and all care.",
	}, a.getVehicle)
}

func (a *api) listVehicles(ctx context.Context, c *caller, in *apiVehiclesQuery) (*apiVehicles, error) {
	lines, more, err := c.records.vehicles(ctx, store.VehicleQuery{Search: in.Search, After: in.After, Limit: in.Limit})
	if err != nil {
		return nil, err
	}
	out := &apiVehicles{}
	out.Body.Vehicles = []apiVehicleLine{}
	for _, l := range lines {
		out.Body.Vehicles = append(out.Body.Vehicles, apiVehicleLine{l.Code, l.Site, l.Shop, l.Patches, l.LastDay})
	}
	if more {
		out.Body.Next = &lines[len(lines)-1].Code
	}
	return out, nil
}

func (a *api) getVehicle(ctx context.Context, c *caller, in *apiVehicleQuery) (*apiOneVehicle, error) {
	fleet, err := c.records.vehicle(ctx, in.Vehicle)
	if err != nil {
		return nil, err
	}
	return &apiOneVehicle{newAPIVehicle(fleet, c.study.Protocol)}, nil
}
