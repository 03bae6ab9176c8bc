package store

import (
	"context"
	"log/slog"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// connect opens connections to the database at url whose notices go to the log.
func connect(ctx context.Context, url string, log *slog.Logger) (*pgxpool.Pool, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	config.ConnConfig.OnNotice = func(_ *pgconn.PgConn, n *pgconn.Notice) { logNotice(log, n) }
	return pgxpool.NewWithConfig(ctx, config)
}

// logNotice writes down what the database says beside its answers: warnings of
// its state, for whoever runs it, and with auto_explain in the url the plan of
// each statement. Only a warning is news.
func logNotice(log *slog.Logger, n *pgconn.Notice) {
	level := slog.LevelDebug
	if n.SeverityUnlocalized == "WARNING" {
		level = slog.LevelWarn
	}
	log.Log(context.Background(), level, "the database says", "severity", n.SeverityUnlocalized, "message", n.Message, "detail", n.Detail, "hint", n.Hint)
}
