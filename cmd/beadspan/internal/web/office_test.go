package web

import (
	"net/http"
)

// officeTries has a line for each route of the office.
func officeTries() map[string]try {
	return map[string]try{
		"GET /studies/{study}/due":      {"/studies/S1/due", nil, http.StatusOK},
		"GET /studies/{study}/due.csv":  {"/studies/S1/due.csv", nil, http.StatusServiceUnavailable},
		"GET /studies/{study}/coatings": {"/studies/S1/coatings", nil, http.StatusOK},
		"GET /studies/{study}/climates": {"/studies/S1/climates", nil, http.StatusOK},
		"GET /studies/{study}/rules":    {"/studies/S1/rules", nil, http.StatusOK},
		"POST /studies/{study}/rules":   {"/studies/S1/rules", nil, http.StatusUnprocessableEntity},
	}
}
