package web

import (
	"context"
	"errors"

	"beadspan/reports"
	"beadspan/study"
)

// vehicleAhead is what may be expected of a vehicle, and what is to be done.
type vehicleAhead struct {
	Due         []study.Due
	NextCheckup *study.Day
	Coats       []coatAhead
}

// coatAhead is what may be expected of a vehicle's panels with one coating.
type coatAhead struct {
	Coating string
	Answer  string // how long others like it lasted
	Outlook *reports.LetterOutlook
}

// aheadFigure is what may be expected of one vehicle.
func aheadFigure(desk *lettersDesk, code string) figure[*vehicleAhead] {
	return figure[*vehicleAhead]{"ahead of " + code, func(ctx context.Context, _ figureInput) (*vehicleAhead, error) {
		letter, err := desk.letterOf(ctx, code)
		if errors.Is(err, reports.ErrNoLetter) {
			return &vehicleAhead{}, nil
		}
		if err != nil {
			return nil, err
		}
		ahead := &vehicleAhead{Due: letter.Due, NextCheckup: letter.NextCheckup}
		for _, c := range letter.Coats {
			ahead.Coats = append(ahead.Coats, coatAhead{c.Coating, c.Row.Answer(), c.Outlook})
		}
		return ahead, nil
	}}
}

// ahead looks up what may be expected of a vehicle that the viewer may see.
func (s *Server) ahead(v *viewer, code string) (found[*vehicleAhead], error) {
	desk, err := lookUp(v.records, lettersFigure(s.opts.Version), s.today())
	if err != nil || !desk.Fresh {
		return found[*vehicleAhead]{}, err
	}
	return lookUp(v.records, aheadFigure(desk.Value, code), s.today())
}
