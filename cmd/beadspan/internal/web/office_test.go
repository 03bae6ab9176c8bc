package web

import (
	"net/http"

	"beadspan/study"
)

// officeTries has a line for each route of the office.
func officeTries() map[string]try {
	return map[string]try{
		"GET /studies/{study}/due":        {"/studies/S1/due", nil, http.StatusOK},
		"GET /studies/{study}/due.csv":    {"/studies/S1/due.csv", nil, http.StatusOK},
		"GET /studies/{study}/coatings":   {"/studies/S1/coatings", nil, http.StatusOK},
		"GET /studies/{study}/claims":     {"/studies/S1/claims", nil, http.StatusOK},
		"GET /studies/{study}/claims.csv": {"/studies/S1/claims.csv", nil, http.StatusOK},
		"GET /studies/{study}/compare":    {"/studies/S1/compare", nil, http.StatusOK},
		"GET /studies/{study}/climates":   {"/studies/S1/climates", nil, http.StatusOK},
		"GET /studies/{study}/rules":      {"/studies/S1/rules", nil, http.StatusOK},
		"POST /studies/{study}/rules":     {"/studies/S1/rules", nil, http.StatusUnprocessableEntity},

		"GET /studies/{study}/records":                         {"/studies/S1/records", nil, http.StatusOK},
		"POST /studies/{study}/records/amendments/{amendment}": {"/studies/S1/records/amendments/" + study.NewID().String(), nil, http.StatusNotFound},
		"POST /studies/{study}/records/import":                 {"/studies/S1/records/import", nil, http.StatusBadRequest},
		"GET /studies/{study}/records/import/{upload}":         {"/studies/S1/records/import/" + study.NewID().String(), nil, http.StatusNotFound},
		"GET /studies/{study}/records/export.zip":              {"/studies/S1/records/export.zip?format=csv", nil, http.StatusOK},
		"POST /backup": {"/backup", nil, http.StatusNotFound},
		"POST /studies/{study}/records/import/{upload}": {"/studies/S1/records/import/" + study.NewID().String(), nil, http.StatusNotFound},
	}
}
