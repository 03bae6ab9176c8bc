package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path"
	"strings"
	"sync"
	"syscall"
	"time"
	"unicode/utf8"

	"beadspan/ingest"
	"beadspan/study"
)

// uploads keeps the logs that somebody has handed in and not yet decided on, as
// files in a folder of their own. They are gone with the server, and after a
// while: nothing of them is stored until somebody says so.
type uploads struct {
	dir    string
	create func(dir, pattern string) (*os.File, error) // os.CreateTemp
	turn   chan struct{}                               // one log is read at a time

	mu      sync.Mutex
	waiting map[study.ID]*upload
}

// upload is one log, and what is known of it.
type upload struct {
	ID       study.ID
	Account  study.ID // whose it is
	Study    study.ID
	Name     string // of the file, as the browser said
	Bytes    int64
	Options  uploadOptions
	Preview  *logPreview // what loading it would do; nil until it was read
	file     string
	deadline *time.Timer
}

// uploadOptions say how a log is to be read.
type uploadOptions struct {
	Dates  ingest.DateOrder
	Blanks bool // blank cells empty what is stored
}

const (
	// mostUploads keeps the disk free: at the largest they take half a gigabyte.
	mostUploads    = 8
	keepUploadFor  = time.Hour
	mostUploadForm = ingest.MaxPackedBytes + 64<<10 // the file, and the fields around it
)

func newUploads() (*uploads, error) {
	dir, err := os.MkdirTemp("", "beadspan-uploads-")
	if err != nil {
		return nil, fmt.Errorf("make a folder for uploads: %w", err)
	}
	return &uploads{dir: dir, create: os.CreateTemp, turn: make(chan struct{}, 1), waiting: map[study.ID]*upload{}}, nil
}

// close forgets all uploads.
func (u *uploads) close() error {
	u.mu.Lock()
	defer u.mu.Unlock()
	for id := range u.waiting {
		u.forget(id)
	}
	return os.RemoveAll(u.dir)
}

// find returns what is known now of an upload of the account to the study.
func (u *uploads) find(id, account, studyID study.ID) (upload, error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	x, has := u.waiting[id]
	if !has || x.Account != account || x.Study != studyID {
		return upload{}, fault{http.StatusNotFound, "fault.upload_gone"}
	}
	return *x, nil
}

// tell keeps what was found out about an upload.
func (u *uploads) tell(id study.ID, p *logPreview) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if x, has := u.waiting[id]; has {
		x.Preview = p
	}
}

// drop forgets an upload.
func (u *uploads) drop(id study.ID) {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.forget(id)
}

// forget does what drop does, under the lock.
func (u *uploads) forget(id study.ID) {
	x, has := u.waiting[id]
	if !has {
		return
	}
	x.deadline.Stop()
	delete(u.waiting, id)
	_ = os.Remove(x.file) // the folder goes with the server
}

// begin waits for the turn to read a log, which takes memory.
func (u *uploads) begin(ctx context.Context) (end func(), err error) {
	select {
	case u.turn <- struct{}{}:
		return func() { <-u.turn }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// take streams the log of a form to a file. Nothing is left of one that doesn't
// arrive whole.
func (u *uploads) take(r *http.Request, account, studyID study.ID) (upload, error) {
	form, err := r.MultipartReader()
	if err != nil {
		return upload{}, fault{http.StatusBadRequest, "fault.form"}
	}
	x := &upload{ID: study.NewID(), Account: account, Study: studyID}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = u.takePart(x, part)
		} else {
			err = malformed(err)
		}
		if err != nil {
			_ = os.Remove(x.file)
			return upload{}, uploadFault(err)
		}
	}
	if x.file == "" || x.Bytes == 0 {
		_ = os.Remove(x.file)
		return upload{}, fault{http.StatusUnprocessableEntity, "fault.no_file"}
	}
	u.keep(x)
	return *x, nil
}

// keep holds the upload for a while, in place of an earlier one of the account,
// or of the oldest when there are too many.
func (u *uploads) keep(x *upload) {
	u.mu.Lock()
	defer u.mu.Unlock()
	var oldest study.ID
	for id, other := range u.waiting {
		if other.Account == x.Account && other.Study == x.Study {
			u.forget(id)
		} else if oldest == (study.ID{}) || id.String() < oldest.String() { // ids are in order of time
			oldest = id
		}
	}
	if len(u.waiting) >= mostUploads {
		u.forget(oldest)
	}
	x.deadline = time.AfterFunc(keepUploadFor, func() { u.drop(x.ID) })
	u.waiting[x.ID] = x
}

// takePart takes one field of the form.
func (u *uploads) takePart(x *upload, part *multipart.Part) error {
	switch part.FormName() {
	case "log":
		return u.takeFile(x, part)
	case "dates":
		text, err := io.ReadAll(io.LimitReader(part, 16))
		if order := ingest.DateOrder(text); order == ingest.DayMonthYear || order == ingest.MonthDayYear {
			x.Options.Dates = order
		}
		return err
	case "blanks":
		x.Options.Blanks = true
	}
	return nil
}

func (u *uploads) takeFile(x *upload, part *multipart.Part) (err error) {
	if x.file != "" {
		return fault{http.StatusBadRequest, "fault.form"}
	}
	file, err := u.create(u.dir, "log-*")
	if err != nil {
		return err
	}
	x.file, x.Name = file.Name(), fileName(part.FileName())
	x.Bytes, err = io.Copy(file, io.LimitReader(part, ingest.MaxPackedBytes+1))
	err = errors.Join(err, file.Close())
	if err == nil && x.Bytes > ingest.MaxPackedBytes {
		return fault{http.StatusRequestEntityTooLarge, "fault.too_large"}
	}
	return err
}

// fileName keeps what a browser says of a file's name short and without a path.
func fileName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if !utf8.ValidString(name) || name == "." || name == "/" {
		return ""
	}
	return study.Shortened(name)
}

// malformed says that what should be a form isn't one, unless it was cut off or
// is too large.
func malformed(err error) error {
	var tooLarge *http.MaxBytesError
	if errors.Is(err, io.ErrUnexpectedEOF) || errors.As(err, &tooLarge) {
		return err
	}
	return fault{http.StatusBadRequest, "fault.form"}
}

// uploadFault says why a log could not be taken.
func uploadFault(err error) error {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return errDiskFull
	case errors.Is(err, io.ErrUnexpectedEOF):
		return fault{http.StatusBadRequest, "fault.cut_off"}
	}
	return err
}
