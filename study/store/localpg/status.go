package localpg

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Status is what can be said of a private server without starting it.
type Status struct {
	Made      bool   // the data directory exists
	Running   bool   // a server runs on it
	PID       int    // its process, 0 if it does not run
	Version   string // of the programs, such as "15.18"
	BinDir    string // where the programs are
	DataDir   string
	SizeBytes int64 // of the files in DataDir
	SocketDir string
	Port      int // names the socket's file; there is no TCP
	LogFile   string
}

// Status looks at the server and its files.
func (s *Server) Status(ctx context.Context) (Status, error) {
	status := Status{
		Made:      s.hasData(),
		Version:   s.programs.Version,
		BinDir:    s.programs.BinDir,
		DataDir:   s.dataDir(),
		SocketDir: s.ownAddress().dir,
		Port:      s.ownAddress().port,
		LogFile:   s.logFile(),
	}
	if p, ok := s.postmaster(); ok && p.ours {
		status.Running, status.PID = true, p.pid
		status.SocketDir, status.Port = p.address.dir, p.address.port
	}
	if !status.Made {
		return status, nil
	}
	var err error
	if status.SizeBytes, err = sizeOf(ctx, s.dataDir()); err != nil {
		return Status{}, fmt.Errorf("size of the private database: %w", err)
	}
	return status, nil
}

// sizeOf adds up the files under dir. A server makes and removes files while
// they are counted, so one that is gone counts nothing.
func sizeOf(ctx context.Context, dir string) (bytes int64, err error) {
	err = filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if ended := context.Cause(ctx); ended != nil {
			return ended
		}
		if errors.Is(err, os.ErrNotExist) {
			return nil
		}
		if err != nil || !entry.Type().IsRegular() {
			return err
		}
		info, err := entry.Info()
		if errors.Is(err, os.ErrNotExist) {
			return nil
		}
		if err == nil {
			bytes += info.Size()
		}
		return err
	})
	return bytes, err
}
