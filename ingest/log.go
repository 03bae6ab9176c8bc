package ingest

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"beadspan/study"
)

// Options says how to read a log. The zero value reads ISO dates up to the
// present day.
type Options struct {
	// DateOrder allows dates in a local order beside ISO 8601.
	DateOrder DateOrder
	// Today is the last day that a log may hold; the zero Day is the present
	// day in the local time zone.
	Today study.Day
	// Site, if not nil, is asked for a site that the log names and doesn't
	// hold, by its code. One that is known is taken as it is: a log then needs
	// no row, and no table, for sites that were added before.
	Site func(code string) (site study.Site, known bool, err error)
	// Notice, if not nil, is told what is no problem and yet worth knowing,
	// table by table, whether or not the log turns out to have problems. It is
	// called from the goroutine that reads, as Progress is.
	Notice func(Notice)
	// Warning, if not nil, is told where a row leaves common practice, in the
	// order of the rows. Nothing is refused for it.
	Warning func(Warning)
	// Progress, if not nil, is told from time to time how many bytes of how
	// many are done. It is called from the goroutine that reads.
	Progress func(done, total int64)
}

// ReadLog reads the log at path: a folder, a zip or an XLSX workbook. Ids are
// new ones, shops and people come from the columns that name them.
//
// The error is [study.Problems] if anything is wrong with what the log holds,
// and then nothing of it is returned. Any other error means that it could not
// be read at all.
func ReadLog(ctx context.Context, path string, opts Options) (study.Fleet, error) {
	fleet, err := readPath(ctx, path, opts)
	return fleet, wrapped(err, "read log "+path)
}

// ReadLogFS reads a log from the root of a file system, as ReadLog reads one
// from a folder.
func ReadLogFS(ctx context.Context, fsys fs.FS, opts Options) (study.Fleet, error) {
	fleet, err := readFolder(ctx, fsys, opts)
	return fleet, wrapped(err, "read log")
}

// wrapped says what was attempted, unless it is the log that is wrong.
func wrapped(err error, attempt string) error {
	if _, is := errors.AsType[study.Problems](err); is || err == nil {
		return err
	}
	return fmt.Errorf("%s: %w", attempt, err)
}

func readFolder(ctx context.Context, fsys fs.FS, opts Options) (study.Fleet, error) {
	src, err := openFolder(fsys)
	if err != nil {
		return study.Fleet{}, err
	}
	return readSource(ctx, src, opts)
}

func readPath(ctx context.Context, path string, opts Options) (study.Fleet, error) {
	info, err := os.Stat(path)
	if err != nil {
		return study.Fleet{}, err
	}
	if info.IsDir() {
		return readFolder(ctx, os.DirFS(path), opts)
	}
	// Opening a pipe or a device could wait for ever.
	if !info.Mode().IsRegular() {
		return study.Fleet{}, errNoLog
	}
	file, err := os.Open(path)
	if err != nil {
		return study.Fleet{}, err
	}
	defer file.Close()
	src, err := openPacked(ctx, file, info.Size())
	if err != nil {
		return study.Fleet{}, err
	}
	defer src.close()
	return readSource(ctx, src, opts)
}

var errNoLog = errors.New("expected a folder, a zip or an XLSX workbook that holds the tables of a log")

// reader gathers a fleet from the tables of a log, in their order.
type reader struct {
	dates    dateReader
	problems problemList
	notice   func(Notice)
	warning  func(Warning)
	siteOf   func(code string) (study.Site, bool, error)
	siteErr  error // of siteOf
	// unknownSites are codes that siteOf was asked for in vain.
	unknownSites map[string]bool
	fleet        study.Fleet

	coatings *register[study.ID]
	sites    *register[study.ID]
	vehicles *register[*knownVehicle]
	shops    map[string]study.ID
	people   map[string]study.ID
}

func readSource(ctx context.Context, src *source, opts Options) (study.Fleet, error) {
	if err := opts.DateOrder.validate(); err != nil {
		return study.Fleet{}, err
	}
	if opts.Today == 0 {
		opts.Today = study.DayOfTime(time.Now())
	}
	if opts.Notice == nil {
		opts.Notice = func(Notice) {}
	}
	if opts.Warning == nil {
		opts.Warning = func(Warning) {}
	}
	r := &reader{
		dates:    dateReader{order: opts.DateOrder, today: opts.Today, epoch: src.epoch},
		problems: src.problems,
		notice:   opts.Notice,
		warning:  opts.Warning,
		siteOf:   opts.Site,
		coatings: newRegister[study.ID]("coating", "coatings"),
		sites:    newRegister[study.ID]("site", "sites"),
		vehicles: newRegister[*knownVehicle]("vehicle", "vehicles"),
		shops:    map[string]study.ID{},
		people:   map[string]study.ID{},

		unknownSites: map[string]bool{},
	}
	if err := r.readAll(ctx, src, newProgress(src, opts.Progress)); err != nil {
		return study.Fleet{}, err
	}
	if err := r.problems.orNil(); err != nil {
		return study.Fleet{}, err
	}
	return r.fleet, nil
}

func (r *reader) readAll(ctx context.Context, src *source, p *progress) (err error) {
	if r.coatings.whole, err = readTable(ctx, r, src, p, coatingTable(), r.coating); err != nil {
		return err
	}
	if r.sites.whole, err = readTable(ctx, r, src, p, siteTable(), r.site); err != nil {
		return err
	}
	if r.vehicles.whole, err = readTable(ctx, r, src, p, vehicleTable(), r.vehicle); err != nil {
		return err
	}
	if r.siteErr != nil {
		return r.siteErr
	}
	patchesWhole, err := readTable(ctx, r, src, p, patchTable(), r.patch)
	if err != nil {
		return err
	}
	for _, v := range r.vehicles.known {
		v.value.patches.whole = patchesWhole
	}
	if _, err = readTable(ctx, r, src, p, readingTable(study.MostDrops), r.reading); err != nil {
		return err
	}
	_, err = readTable(ctx, r, src, p, careTable(), r.care)
	return err
}

// readTable reads one table and reports whether it could be read whole, as one
// that may be absent and is can.
func readTable[T any](ctx context.Context, r *reader, src *source, p *progress, t table[T], keep func(*line, *T)) (whole bool, err error) {
	file, here := src.tables[t.name]
	if !here {
		want := src.missing(t.name, r.doesWithout(t.name))
		if want != "" {
			r.problems.add(study.Problem{File: t.name + src.suffix, Want: want})
		}
		return want == "", nil
	}
	g, err := file.open()
	if refused, is := errors.AsType[refusal](err); is {
		r.problems.add(study.Problem{File: file.name, Row: refused.row, Want: refused.want})
		return false, nil
	}
	if err != nil {
		return false, err
	}
	defer p.finish(file.size)
	in := input{
		grid:     g,
		line:     line{problems: &r.problems, file: file.name},
		dates:    r.dates,
		progress: func() { p.tell(g.done() * float64(file.size)) },
		notice:   r.notice,
	}
	return t.read(ctx, in, keep)
}
