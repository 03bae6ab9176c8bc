package localpg

import (
	"context"
	"errors"
	"fmt"
	"os"
)

// Stop ends the server in order: open transactions are rolled back, their
// connections closed, and all data written. A server that does not run is left
// as it is.
func (s *Server) Stop(ctx context.Context) error {
	if !s.hasData() {
		return nil
	}
	if err := s.stop(ctx); err != nil {
		return fmt.Errorf("stop the private database server: %w", err)
	}
	return nil
}

func (s *Server) stop(ctx context.Context) error {
	lock, err := lockFile(ctx, s.lockPath())
	if err != nil {
		return err
	}
	defer lock.Close()
	return s.shutDown(ctx)
}

// shutDown stops the server while the lock is held.
func (s *Server) shutDown(ctx context.Context) error {
	p, ok := s.postmaster()
	if !ok || !p.ours {
		return nil
	}
	err := s.run(ctx, nil, "pg_ctl", "stop", "-w", "-m", "fast", "-s", "-D", s.dataDir())
	if _, gone := os.Stat(s.pidFile()); errors.Is(gone, os.ErrNotExist) {
		return nil // it may have ended by itself before pg_ctl looked
	}
	return err
}
