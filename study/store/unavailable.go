package store

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
)

// Full reports whether err says that the disk under the database is full:
// nothing of what was being done is stored, and somebody has to make room before
// it can be done again.
func Full(err error) bool {
	var refused *pgconn.PgError
	return errors.As(err, &refused) && refused.Code == "53100" // disk_full
}

// Unavailable reports whether err says that the database can't be reached or is
// shutting down: the same may well be done a while later, and nothing of what
// was being done is stored but in the rare case that the connection broke while
// the database was already answering.
func Unavailable(err error) bool {
	var refused *pgconn.PgError
	if errors.As(err, &refused) {
		// 08: connection exception; 57P01 to 57P05: shut down, crashed or starting;
		// 53: out of connections, memory or disk.
		return strings.HasPrefix(refused.Code, "08") || strings.HasPrefix(refused.Code, "57P") || strings.HasPrefix(refused.Code, "53")
	}
	if errors.Is(err, context.Canceled) {
		return false // it was whoever asked that left
	}
	var connect *pgconn.ConnectError
	var network net.Error
	return errors.As(err, &connect) || errors.As(err, &network) || errors.Is(err, io.ErrUnexpectedEOF) || pgconn.SafeToRetry(err)
}
