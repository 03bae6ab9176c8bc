package store

import "beadspan/study"

// selection says of which vehicles something is read: where is a condition on
// v, a row of vehicle_code, and on the parameter $1, which is id.
type selection struct {
	where string
	id    study.ID
}

func ofStudy(id study.ID) selection   { return selection{`v.study_id = $1`, id} }
func ofVehicle(id study.ID) selection { return selection{`v.vehicle_id = $1`, id} }
