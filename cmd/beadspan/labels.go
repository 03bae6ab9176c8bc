package main

import (
	"context"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"

	"beadspan/cmd/beadspan/internal/web"
	"beadspan/study"
	"beadspan/study/store"
)

type labelsCommand struct {
	studyFlag
	Vehicles []string `arg:"" optional:"" placeholder:"CODE" help:"Vehicles to label; by default all of the study."`
	At       string   `required:"" placeholder:"ADDRESS" help:"Where phones reach the server, such as https://shop.example."`
	Out      string   `default:"labels.html" placeholder:"FILE" type:"path" help:"Page to write."`
}

// Help explains the command with an example.
func (labelsCommand) Help() string {
	return `Writes a sheet of labels to print from any browser, at full size on A4: one for each
vehicle, with its code and a QR code. A phone's camera, pointed at the label, opens the
vehicle in the wash bay of the server ("beadspan serve") at the address that you name.

Example:
  beadspan labels --at https://shop.example
  beadspan labels --at https://shop.example V012 V013 --out new.html`
}

// Run writes the labels.
func (c labelsCommand) Run(ctx context.Context, a *app) error {
	at, err := url.Parse(c.At)
	if err != nil || (at.Scheme != "https" && at.Scheme != "http") || at.Host == "" || strings.Trim(at.Path, "/") != "" || at.RawQuery != "" {
		return usageError(fmt.Sprintf("labels: --at %s: expected an address without a path, such as https://shop.example", c.At))
	}
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	st, err := c.study(ctx, s)
	if err != nil {
		return err
	}
	codes, err := c.codes(ctx, s, st)
	if err != nil {
		return err
	}
	labels := make([]web.Label, len(codes))
	for i, code := range codes {
		if labels[i], err = web.NewLabel(c.At, st.Code, code); err != nil {
			return err
		}
	}
	if err := writeWhole(c.Out, func(w io.Writer) error { return web.WriteLabels(w, labels) }); err != nil {
		return fmt.Errorf("write labels: %w", err)
	}
	fmt.Fprintf(a.out, "wrote %s: %s\n", c.Out, counted(len(labels), "label"))
	return nil
}

// vehiclesAtOnce is how many vehicles are asked for at once.
const vehiclesAtOnce = 1000

// codes lists the vehicles to label: those named, or all.
func (c labelsCommand) codes(ctx context.Context, s *store.Store, st study.Study) ([]string, error) {
	var all []string
	q := store.VehicleQuery{Limit: vehiclesAtOnce}
	for more := true; more; {
		var page []store.VehicleLine
		var err error
		page, more, err = s.Vehicles(ctx, store.Scope{StudyID: st.ID, EveryShop: true}, q)
		if err != nil {
			return nil, err
		}
		for _, v := range page {
			all = append(all, v.Code)
			q.After = v.Code
		}
	}
	if len(c.Vehicles) == 0 {
		if len(all) == 0 {
			return nil, fmt.Errorf("labels: study %s has no vehicle yet: load a log, or log a coating job in the bay", st.Code)
		}
		return all, nil
	}
	for _, code := range c.Vehicles {
		if !slices.Contains(all, code) {
			return nil, fmt.Errorf("labels: study %s has no vehicle %s", st.Code, code)
		}
	}
	return c.Vehicles, nil
}
