package store

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"fmt"
	"io"

	"github.com/jackc/pgx/v5"

	"beadspan/study"
)

// LetterText is what a letter says, on paper and for a browser.
type LetterText struct {
	PDF  []byte
	Page []byte // HTML
}

// KeepLetter stores a letter as it is. The same letter to the same vehicle, byte
// by byte on paper, is stored once: the id that it has is returned.
func (s *Store) KeepLetter(ctx context.Context, l study.KeptLetter, text LetterText) (id study.ID, err error) {
	page, err := packed(text.Page)
	if err != nil {
		return id, fmt.Errorf("keep a letter: %w", err)
	}
	sum := sha256.Sum256(text.PDF)
	err = s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `
			INSERT INTO letter (vehicle_id, letter_id, dated_on, language, paper, version, pdf, pdf_sha256, page_gzip, made_by)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
			ON CONFLICT ON CONSTRAINT letter_pdf_key DO NOTHING`,
			l.VehicleID, l.ID, date(l.Day), l.Language, l.Paper, l.Version, text.PDF, sum[:], page, l.MadeBy)
		if err != nil {
			return err
		}
		return tx.QueryRow(ctx, `
			SELECT letter_id
			FROM letter
			WHERE vehicle_id = $1 AND pdf_sha256 = $2`, l.VehicleID, sum[:]).Scan(&id)
	})
	if err != nil {
		return id, fmt.Errorf("keep a letter: %w", err)
	}
	return id, nil
}

// LetterPDF reads a letter as it is on paper. It returns study.ErrNotFound if the
// vehicle has no such letter.
func (s *Store) LetterPDF(ctx context.Context, vehicleID, id study.ID) (pdf []byte, err error) {
	err = s.db.QueryRow(ctx, `
		SELECT pdf
		FROM letter
		WHERE vehicle_id = $1 AND letter_id = $2`, vehicleID, id).Scan(&pdf)
	if err != nil {
		return nil, fmt.Errorf("read a letter: %w", orNotFound(err))
	}
	return pdf, nil
}

// LetterPage reads a letter as it is for a browser. It returns study.ErrNotFound
// if the vehicle has no such letter.
func (s *Store) LetterPage(ctx context.Context, vehicleID, id study.ID) (page []byte, err error) {
	err = s.db.QueryRow(ctx, `
		SELECT page_gzip
		FROM letter
		WHERE vehicle_id = $1 AND letter_id = $2`, vehicleID, id).Scan(&page)
	if err == nil {
		page, err = unpacked(page)
	}
	if err != nil {
		return nil, fmt.Errorf("read a letter: %w", orNotFound(err))
	}
	return page, nil
}

// SendLetter notes that a letter reached its customer. One that did before stays
// as it was noted first. It returns study.ErrNotFound if the vehicle has no such
// letter.
func (s *Store) SendLetter(ctx context.Context, vehicleID, id study.ID, sent study.LetterSent) error {
	tag, err := s.db.Exec(ctx, `
		UPDATE letter
		SET sent_on = coalesce(sent_on, $3), sent_by = coalesce(sent_by, $4), sent_how = coalesce(sent_how, $5)
		WHERE vehicle_id = $1 AND letter_id = $2`, vehicleID, id, date(sent.On), sent.By, string(sent.How))
	if err == nil && tag.RowsAffected() == 0 {
		err = study.ErrNotFound
	}
	if err != nil {
		return fmt.Errorf("note that a letter was sent: %w", err)
	}
	return nil
}

// packed is content as gzip, the same bytes for the same content.
func packed(content []byte) ([]byte, error) {
	var buf bytes.Buffer
	z := gzip.NewWriter(&buf)
	if _, err := z.Write(content); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}

func unpacked(content []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(content))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(z)
}
