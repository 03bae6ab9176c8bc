package calc

import (
	"errors"
	"fmt"

	"beadspan/stats/survival"
	"beadspan/study"
)

// blame names the row of the file that a method refused: methods know only of
// spans and of their places among those that they were given.
func (d *Data) blame(err error) error {
	var refused *survival.SpanError
	if !errors.As(err, &refused) {
		return err
	}
	for i, s := range d.Spans {
		if s == refused.Span {
			return study.Problems{{File: d.File, Row: d.Lines[i], Want: refused.Reason}}
		}
	}
	return err
}

// inGroup says which group an error is about.
func (d *Data) inGroup(g int, err error) error {
	err = d.blame(err)
	var problems study.Problems
	if d.Groups == nil || errors.As(err, &problems) {
		return err
	}
	return fmt.Errorf("%s %s: %w", d.groupColumns(), d.Groups.Names[g], err)
}
