package web

import (
	"net/http"
	"os"
	"path/filepath"
)

// sendBackup sends a backup of the whole database. It holds every study and
// every account, so that it is for those who look after all of them.
func (s *Server) sendBackup(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if s.opts.Backup == nil {
		return fault{http.StatusNotFound, "fault.no_backup"}
	}
	if !v.account.Steward {
		return errRole
	}
	dir, err := os.MkdirTemp("", "beadspan-backup-")
	if err != nil {
		return uploadFault(err)
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "records.backup")
	if err := s.opts.Backup(r.Context(), file); err != nil {
		return uploadFault(err)
	}
	return sendFile(w, r, file, "application/octet-stream", "beadspan-"+s.today().String()+".backup")
}

// sendFile sends a file under another name.
func sendFile(w http.ResponseWriter, r *http.Request, file, contentType, name string) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	asFile(w, contentType, name)
	http.ServeContent(w, r, "", info.ModTime(), f)
	return nil
}
