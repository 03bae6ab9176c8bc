package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// Loaded says what a load did. Each record of the fleet is counted once.
type Loaded struct {
	Added     study.Size `json:"added"`     // new
	Unchanged study.Size `json:"unchanged"` // stored before, with the same content
	// Proposed counts the records that differ from the stored ones and for
	// which the load proposed an amendment.
	Proposed int `json:"proposed"`
	// ProposedBefore counts those for which the same amendment was proposed
	// before and is not decided, or was declined.
	ProposedBefore int `json:"proposed_before"`
}

// Load stores a fleet as part of a study: all of it, or nothing.
//
// A record is known by what people call it: coatings, sites, shops and
// people by code; a vehicle by its code in the study; a patch by its code on
// the vehicle; a checkup by its day and operator; a reading by checkup, patch
// and stage; care by its day, kind and patch. What isn't stored yet is added.
// Where a stored record says otherwise it stays as it is, and the difference becomes a
// proposed amendment. What a fleet leaves blank says nothing: it corrects no
// stored value. Loading a fleet again changes nothing.
//
// Loads wait for one another. progress, if not nil, is called now and then with
// how many of all rows were sent; after the last row the database still has to
// compare and store them.
//
// Load returns study.Problems for all that keeps the fleet from being stored,
// and study.ErrNotFound if there is no such study.
func (s *Store) Load(ctx context.Context, studyID study.ID, f study.Fleet, progress func(done, total int)) (Loaded, error) {
	return s.LoadAs(ctx, studyID, f, Loading{Progress: progress})
}

// TryLoad finds out what Load would do, and leaves everything as it is.
func (s *Store) TryLoad(ctx context.Context, studyID study.ID, f study.Fleet, progress func(done, total int)) (Loaded, error) {
	return s.LoadAs(ctx, studyID, f, Loading{OnlyTry: true, Progress: progress})
}

// Loading says how LoadAs loads. The zero value is what Load does.
type Loading struct {
	OnlyTry bool // find out what loading would do, and leave everything as it is
	// BlanksCorrect takes what the fleet leaves blank for known to be blank:
	// where something is stored, an amendment that empties it is proposed.
	BlanksCorrect bool
	Progress      func(done, total int) // as Load's
}

// LoadAs is Load in the way that how says.
func (s *Store) LoadAs(ctx context.Context, studyID study.ID, f study.Fleet, how Loading) (Loaded, error) {
	began := time.Now()
	loaded, err := s.load(ctx, studyID, f, how)
	if how.OnlyTry && errors.Is(err, errOnlyTried) {
		return loaded, nil
	}
	if err != nil {
		return Loaded{}, err
	}
	s.log.InfoContext(ctx, "load done", "study_id", studyID, "readings_added", loaded.Added.Readings,
		"amendments_proposed", loaded.Proposed, "took_ms", time.Since(began).Milliseconds())
	return loaded, nil
}

// errOnlyTried rolls a load back that was only to be tried.
var errOnlyTried = errors.New("only tried")

// load does the work of LoadAs in one transaction.
func (s *Store) load(ctx context.Context, studyID study.ID, f study.Fleet, how Loading) (Loaded, error) {
	if err := check(f).OrNil(); err != nil {
		return Loaded{}, err
	}
	var loaded Loaded
	err := s.write(ctx, func(tx pgx.Tx) error {
		if err := studyExists(ctx, tx, studyID); err != nil {
			return err
		}
		if err := oneLoadAtATime(ctx, tx); err != nil {
			return err
		}
		var err error
		if loaded, err = loadInto(ctx, tx, studyID, f, how); err != nil {
			return err
		}
		if how.OnlyTry {
			return errOnlyTried
		}
		return nil
	})
	if err != nil {
		err = fmt.Errorf("load: %w", explain(err))
	}
	return loaded, err
}

// loadInto compares the fleet with what is stored, adds what is new and proposes
// amendments, within a transaction that keeps other loads waiting.
func loadInto(ctx context.Context, tx pgx.Tx, studyID study.ID, f study.Fleet, how Loading) (Loaded, error) {
	k, err := lookUp(ctx, tx, studyID, f)
	if err != nil {
		return Loaded{}, err
	}
	f = k.settle(f)
	tables := tablesOf(studyID, f)
	if err := stageAll(ctx, tx, tables, studyID, f, how.Progress); err != nil {
		return Loaded{}, err
	}
	loaded, err := merge(ctx, tx, tables, f.Size(), how.BlanksCorrect)
	if err != nil || loaded.Added == (study.Size{}) {
		return loaded, err
	}
	return loaded, revise(ctx, tx, studyID)
}

// tablesOf lists the tables that the fleet has rows for: most of what is loaded
// is one visit of one vehicle.
func tablesOf(studyID study.ID, f study.Fleet) []table {
	return slices.DeleteFunc(loadOrder(), func(t table) bool {
		for range t.rows(studyID, f) {
			return false
		}
		return true
	})
}

// rowsBetweenReports keeps progress from being called for every row.
const rowsBetweenReports = 500

// stageAll copies the fleet into temporary tables.
func stageAll(ctx context.Context, tx pgx.Tx, tables []table, studyID study.ID, f study.Fleet, progress func(done, total int)) error {
	n := f.Size()
	done := 0
	total := n.Coatings + n.Sites + n.Shops + n.People + 2*n.Vehicles + n.Patches + n.Checkups + n.Readings + n.Care
	copied := func() {
		done++
		if progress != nil && (done%rowsBetweenReports == 0 || done == total) {
			progress(done, total)
		}
	}
	for _, t := range tables {
		if err := t.stage(ctx, tx, studyID, f, copied); err != nil {
			return fmt.Errorf("copy %s: %w", t.name, err)
		}
	}
	return nil
}

// merge adds the staged records that are new and proposes amendments where
// stored ones differ. size is what was staged.
func merge(ctx context.Context, tx pgx.Tx, tables []table, size study.Size, blanksCorrect bool) (loaded Loaded, err error) {
	loaded.Unchanged = size
	for _, t := range tables {
		added, err := t.insert(ctx, tx)
		if err != nil {
			return loaded, fmt.Errorf("store %s: %w", t.name, err)
		}
		if t.count != nil {
			*t.count(&loaded.Added) = added
			*t.count(&loaded.Unchanged) -= added
		}
	}
	for _, t := range tables {
		if len(t.content) == 0 {
			continue
		}
		proposed, before, err := t.propose(ctx, tx, blanksCorrect)
		if err != nil {
			return loaded, fmt.Errorf("compare %s: %w", t.name, err)
		}
		loaded.Proposed += proposed
		loaded.ProposedBefore += before
		*t.count(&loaded.Unchanged) -= proposed + before
	}
	return loaded, nil
}
