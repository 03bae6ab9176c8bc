package localpg

import (
	"archive/zip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/jackc/pgx/v5"
)

// An archive is the backup made without pg_dump: a zip of what COPY prints of
// each table, and a manifest that says what the tables were. The text format
// of COPY is taken since the binary one names types by numbers that differ
// between databases.
const (
	archiveFormat = "beadspan copy archive 1"
	manifestName  = "manifest.json"
	manifestLimit = 16 << 20 // bytes; a real one has a few thousand
)

// manifest says what an archive holds.
type manifest struct {
	Format        string     `json:"format"`
	Postgres      string     `json:"postgres"`
	SchemaVersion int32      `json:"schema_version"`
	Tables        []table    `json:"tables"`
	Sequences     []sequence `json:"sequences"`
}

// archive writes the tables of a database, all as of one moment, to file.
func (s *Server) archive(ctx context.Context, database, file string, schema Schema) error {
	if schema.VersionTable == "" {
		return fmt.Errorf("%s has no pg_dump: install PostgreSQL's client programs", s.programs.BinDir)
	}
	out, err := os.OpenFile(file, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	defer out.Close()
	conn, err := pgx.Connect(ctx, s.URL(database))
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))

	snapshot := pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}
	err = pgx.BeginTxFunc(ctx, conn, snapshot, func(tx pgx.Tx) error {
		return writeArchive(ctx, tx, out, manifest{Format: archiveFormat, Postgres: s.programs.Version}, schema)
	})
	if err != nil {
		return err
	}
	return out.Close()
}

// writeArchive puts the manifest last, when the rows are counted.
func writeArchive(ctx context.Context, tx pgx.Tx, out io.Writer, m manifest, schema Schema) (err error) {
	if err := refuseUnarchivable(ctx, tx); err != nil {
		return err
	}
	version := "SELECT version FROM " + pgx.Identifier(strings.Split(schema.VersionTable, ".")).Sanitize()
	if err := tx.QueryRow(ctx, version).Scan(&m.SchemaVersion); err != nil {
		return fmt.Errorf("read the schema's version: %w", err)
	}
	if m.Tables, err = tables(ctx, tx); err != nil {
		return err
	}
	if m.Tables, err = inLoadingOrder(ctx, tx, m.Tables); err != nil {
		return err
	}
	if m.Sequences, err = sequences(ctx, tx); err != nil {
		return err
	}
	archive := zip.NewWriter(out)
	for i := range m.Tables {
		entry, err := archive.Create(m.Tables[i].entry())
		if err != nil {
			return err
		}
		tag, err := tx.Conn().PgConn().CopyTo(ctx, entry, "COPY "+m.Tables[i].target()+" TO STDOUT")
		if err != nil {
			return fmt.Errorf("copy table %s: %w", m.Tables[i].Name, err)
		}
		m.Tables[i].Rows = tag.RowsAffected()
	}
	entry, err := archive.Create(manifestName)
	if err != nil {
		return err
	}
	if err := json.NewEncoder(entry).Encode(m); err != nil {
		return err
	}
	return archive.Close()
}

// unarchive fills a fresh database from an archive, all or nothing.
func (s *Server) unarchive(ctx context.Context, database, file string, schema Schema) error {
	if schema.Migrate == nil {
		return errors.New("an archive without a schema needs one to be made: none was given")
	}
	archive, err := zip.OpenReader(file)
	if err != nil {
		return err
	}
	defer archive.Close()
	m, err := readManifest(&archive.Reader)
	if err != nil {
		return err
	}
	if err := schema.Migrate(ctx, s.URL(database), m.SchemaVersion); err != nil {
		return fmt.Errorf("make the schema of version %d: %w", m.SchemaVersion, err)
	}
	conn, err := pgx.Connect(ctx, s.URL(database))
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		return load(ctx, tx, &archive.Reader, m)
	})
}

func readManifest(archive *zip.Reader) (manifest, error) {
	entry, err := archive.Open(manifestName)
	if err != nil {
		return manifest{}, errors.New("the file is not a backup: 'beadspan db backup' makes them")
	}
	defer entry.Close()
	var m manifest
	if err := json.NewDecoder(io.LimitReader(entry, manifestLimit)).Decode(&m); err != nil {
		return manifest{}, fmt.Errorf("read the backup's %s: %w", manifestName, err)
	}
	if m.Format != archiveFormat {
		return manifest{}, fmt.Errorf("the backup's format is %q, and this program knows %q", m.Format, archiveFormat)
	}
	return m, nil
}

// load empties the tables, which the migrations may have put rows into, and
// fills them. The archive has them in an order that suits their foreign keys.
func load(ctx context.Context, tx pgx.Tx, archive *zip.Reader, m manifest) error {
	present, err := tables(ctx, tx)
	if err != nil {
		return err
	}
	if err := sameTables(m.Tables, present); err != nil {
		return err
	}
	var targets []string
	for _, t := range m.Tables {
		targets = append(targets, t.quoted())
	}
	if len(targets) > 0 {
		if _, err := tx.Exec(ctx, "TRUNCATE "+strings.Join(targets, ", ")); err != nil {
			return err
		}
	}
	for _, t := range m.Tables {
		if err := loadTable(ctx, tx, archive, t); err != nil {
			return fmt.Errorf("load table %s: %w", t.Name, err)
		}
	}
	for _, q := range m.Sequences {
		name := pgx.Identifier{q.Schema, q.Name}.Sanitize()
		if _, err := tx.Exec(ctx, "SELECT setval($1::text::regclass, $2, $3)", name, q.LastValue, q.IsCalled); err != nil {
			return fmt.Errorf("set sequence %s: %w", name, err)
		}
	}
	return nil
}

func loadTable(ctx context.Context, tx pgx.Tx, archive *zip.Reader, t table) error {
	entry, err := archive.Open(t.entry())
	if err != nil {
		return err
	}
	defer entry.Close()
	tag, err := tx.Conn().PgConn().CopyFrom(ctx, entry, "COPY "+t.target()+" FROM STDIN")
	if err != nil {
		return err
	}
	if tag.RowsAffected() != t.Rows {
		return fmt.Errorf("the backup promises %d rows and has %d", t.Rows, tag.RowsAffected())
	}
	return nil
}
