package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"beadspan/reports"
	"beadspan/study"
)

type letterCommand struct {
	studyFlag
	Level      float64 `default:"0.95" help:"Confidence level of the limits."`
	Replicates int     `default:"99" help:"Bootstrap replicates behind the limits, over vehicles. Letters tell whole tenths, for which few do."`
	Seed       uint64  `default:"1" help:"Seed of the bootstrap: the same seed gives the same limits."`

	Vehicle  string `arg:"" optional:"" help:"Code of the vehicle."`
	Due      bool   `help:"Write to all vehicles that are due for something."`
	On       string `placeholder:"DATE" help:"The letters' day, as 2026-04-30; records of later days are not looked at. Today by default."`
	Language string `enum:"en,de,fr" default:"en" help:"en, de or fr."`
	Paper    string `enum:"a4,letter" default:"a4" help:"a4 or letter."`
	Shop     string `placeholder:"NAME" help:"Name of the shop, for the head of the letter."`
	Logo     string `placeholder:"FILE" type:"existingfile" help:"The shop's own logo, a PNG or JPEG."`
	Web      bool   `help:"Write each letter as a web page too."`
	Out      string `default:"." placeholder:"DIR" type:"path" help:"Folder to write to; made when missing."`
}

// Help explains the command with an example.
func (letterCommand) Help() string {
	return `Writes to a customer about their own vehicle, on one page: how the panels stand, what
others like it did, when to expect the next decision, what was only hidden by dirt, what
to do next, and what nobody measured. With --due it writes to all vehicles that "beadspan
due" lists. Files are named after the vehicle, as letter-V012.pdf.

The same records, day and version give the same bytes. The letter is an estimate and says
so; read it before you hand it over.

Example:
  beadspan letter V012 --shop "Harbour Coating Shop" --language de
  beadspan letter --due --on 2026-04-30 --out letters
  beadspan letter Q020 --demo --web`
}

// letterMemory is the memory, in bytes, beyond which garbage is collected sooner.
// The records of 20,000 vehicles take half of it; left alone, the collector would
// let them double and more.
const letterMemory = 900 << 20

// Run writes letters.
func (c letterCommand) Run(ctx context.Context, a *app) error {
	const unchanged = -1
	before := debug.SetMemoryLimit(unchanged)
	debug.SetMemoryLimit(min(before, letterMemory))
	defer debug.SetMemoryLimit(before)
	on, err := c.check()
	if err != nil {
		return err
	}
	look := reports.LetterLook{Language: reports.Language(c.Language), Paper: reports.Paper(c.Paper), Shop: c.Shop}
	if look.Logo, err = c.logo(); err != nil {
		return err
	}
	letters, err := c.letters(ctx, a, on)
	if err != nil {
		return err
	}
	codes := []string{c.Vehicle}
	if c.Due {
		if codes = letters.Due(); len(codes) == 0 {
			fmt.Fprintf(a.out, "nothing is due on %s: no letter was written\n", on)
			return nil
		}
	}
	if err := os.MkdirAll(c.Out, 0o755); err != nil {
		return fmt.Errorf("write letters: %w", err)
	}
	return c.write(ctx, a, letters, codes, look)
}

// check finds what is wrong with the flags together, and the letters' day.
func (c letterCommand) check() (study.Day, error) {
	if (c.Vehicle == "") != c.Due {
		return 0, usageError("letter: name one vehicle, or say --due for all that are due")
	}
	return dayAsked("letter", c.On)
}

func (c letterCommand) logo() (image.Image, error) {
	if c.Logo == "" {
		return nil, nil
	}
	file, err := os.Open(c.Logo)
	if err != nil {
		return nil, fmt.Errorf("read logo: %w", err)
	}
	defer file.Close()
	logo, err := reports.ReadLogo(file)
	if errors.Is(err, reports.ErrOptions) {
		return nil, usageError(fmt.Sprintf("letter: %s: %v", c.Logo, err))
	}
	return logo, err
}

func (c letterCommand) letters(ctx context.Context, a *app, on study.Day) (*reports.Letters, error) {
	st, fleet, err := a.openFleet(ctx, c.studyFlag)
	if err != nil {
		return nil, err
	}
	salt, _, err := reports.SaltSeasons(fleet)
	if err != nil {
		return nil, err
	}
	letters, err := reports.NewLetters(fleet, reports.LetterOptions{
		Study: st, On: on, Salt: salt,
		Level: c.Level, BootstrapReplicates: c.Replicates, Seed: c.Seed, Version: version,
	})
	return letters, asked("letter", err)
}

// write writes letters one after the other. Those that are done stay when it is
// stopped: each is whole.
func (c letterCommand) write(ctx context.Context, a *app, letters *reports.Letters, codes []string, look reports.LetterLook) error {
	bar := a.progress("writing letters")
	defer bar.done()
	for i, code := range codes {
		if err := ctx.Err(); err != nil {
			return err
		}
		letter, err := letters.Of(ctx, code)
		switch {
		case errors.Is(err, study.ErrNotFound):
			return usageError(fmt.Sprintf("letter: there is no vehicle %q on that day: 'beadspan due' lists codes of those that are due", code))
		case err != nil:
			return err
		}
		if err := c.writeOne(letter, look); err != nil {
			return err
		}
		bar.count(i+1, len(codes))
	}
	bar.done()
	if len(codes) == 1 {
		fmt.Fprintf(a.out, "wrote %s\n", c.path(codes[0], "pdf"))
		return nil
	}
	fmt.Fprintf(a.out, "wrote %s to %s\n", counted(len(codes), "letter"), c.Out)
	return nil
}

func (c letterCommand) writeOne(letter *reports.Letter, look reports.LetterLook) error {
	writers := map[string]func(io.Writer, reports.LetterLook) error{"pdf": letter.WritePDF}
	if c.Web {
		writers["html"] = letter.WriteHTML
	}
	for ending, write := range writers {
		path := c.path(letter.Vehicle, ending)
		if err := writeWhole(path, func(w io.Writer) error { return write(w, look) }); err != nil {
			return fmt.Errorf("write %s: %w", path, err)
		}
	}
	return nil
}

// path is where a vehicle's letter goes; a code may hold a slash.
func (c letterCommand) path(vehicle, ending string) string {
	return filepath.Join(c.Out, "letter-"+strings.ReplaceAll(vehicle, "/", "--")+"."+ending)
}
