package web

import (
	"context"
	"errors"
	"net/http"
	"time"

	"beadspan/reports"
	"beadspan/study"
)

// lettersDesk makes what is told of one vehicle after the other from what all
// have shown, which is worked out once.
type lettersDesk struct {
	turn    chan struct{} // one letter is made at a time
	letters *reports.Letters
}

// lettersFigure is the desk for letters of a version of the program.
func lettersFigure(version string) figure[*lettersDesk] {
	return figure[*lettersDesk]{"letters", func(_ context.Context, in figureInput) (*lettersDesk, error) {
		salt, _, err := reports.SaltSeasons(*in.fleet)
		if err != nil {
			return nil, err
		}
		life := reports.DefaultLifeOptions() // but for replicates, as "beadspan letter" has it: the same letters
		letters, err := reports.NewLetters(*in.fleet, reports.LetterOptions{
			Study: in.study, On: in.today, Salt: salt,
			Level: life.Level, BootstrapReplicates: reports.LetterReplicates, Seed: life.Seed, Version: version,
		})
		return &lettersDesk{make(chan struct{}, 1), letters}, err
	}}
}

// letterOf makes the letter about a vehicle when it is its turn. Of a vehicle
// that had nothing coated by today there is none: reports.ErrNoLetter.
func (d *lettersDesk) letterOf(ctx context.Context, code string) (*reports.Letter, error) {
	select {
	case d.turn <- struct{}{}:
		defer func() { <-d.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	letter, err := d.letters.Of(ctx, code)
	if errors.Is(err, study.ErrNotFound) { // it came after the desk's day
		err = reports.ErrNoLetter
	}
	return letter, err
}

// letterPatience is how long a page waits for a letter. The figures behind it are
// worked out before, so that only other letters may be in the way.
const letterPatience = 10 * time.Second

// letterToday makes today's letter about a vehicle that the viewer may see.
func (s *Server) letterToday(ctx context.Context, v *viewer, code string) (*reports.Letter, error) {
	ahead, err := s.ahead(v, code)
	if err != nil {
		return nil, err
	}
	desk, err := lookUp(v.records, lettersFigure(s.opts.Version), s.today())
	if err != nil {
		return nil, err
	}
	if !ahead.Fresh || !desk.Fresh {
		return nil, errNotReady
	}
	ctx, cancel := context.WithTimeout(ctx, letterPatience)
	defer cancel()
	letter, err := desk.Value.letterOf(ctx, code)
	switch {
	case errors.Is(err, reports.ErrNoLetter):
		return nil, fault{http.StatusNotFound, "fault.no_letter"}
	case errors.Is(err, context.DeadlineExceeded):
		return nil, errNotReady
	}
	return letter, err
}
