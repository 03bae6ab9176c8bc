package localpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"
)

// lockFile takes the lock that the file stands for, made if need be, and waits
// until ctx is done for another process to give it back. Closing the file gives
// it back, and so does the end of the process, however it ends.
func lockFile(ctx context.Context, path string) (*os.File, error) {
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	for {
		err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case err == nil:
			return file, nil
		case !errors.Is(err, syscall.EWOULDBLOCK) && !errors.Is(err, syscall.EINTR):
			file.Close()
			return nil, fmt.Errorf("lock %s: %w", path, err)
		}
		if err := pause(ctx, 20*time.Millisecond); err != nil {
			file.Close()
			return nil, fmt.Errorf("wait for another process that holds %s: %w", path, err)
		}
	}
}

// pause waits for d, or returns why ctx ended first.
func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return context.Cause(ctx)
	case <-time.After(d):
		return nil
	}
}
