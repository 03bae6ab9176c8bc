package main

import (
	"context"
	"fmt"
	"strconv"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"beadspan/reports"
	"beadspan/study"
)

type studyCommand struct {
	Add  studyAddCommand  `cmd:"" help:"Add a study with its protocol."`
	List studyListCommand `cmd:"" help:"List the studies."`
	Plan studyPlanCommand `cmd:"" help:"Show or change how often vehicles are to be washed and checked."`
}

type studyAddCommand struct {
	Code      string  `arg:"" help:"Short code of the study."`
	Question  string  `help:"What the study asks, in a sentence."`
	Metric    string  `enum:"angle,sheet_time,wet_share,bead_grade" default:"angle" help:"What decides: angle, sheet_time, wet_share or bead_grade."`
	Threshold float64 `default:"90" help:"Where water stops being repelled, in the metric's unit; a value on it passes."`
	Confirm   int     `default:"2" help:"Conclusive fails in a row that make a patch spent, 1 to 3."`
	Estimand  string  `enum:"to_topper,as_maintained" default:"to_topper" help:"to_topper: a patch leaves at its first topper. as_maintained: toppers are part of the care."`
	claimFlags
	carePlanFlags
}

// Help explains the command with an example.
func (studyAddCommand) Help() string {
	return `A study is one question with one protocol. The protocol decides what counts as
spent, so settle it before the first reading.

Example:
  beadspan study add film-2026 --question "How long does K-20 last on film?" --confirm 2`
}

// Run adds the study.
func (c studyAddCommand) Run(ctx context.Context, a *app) error {
	st := study.Study{
		ID:       study.NewID(),
		Code:     c.Code,
		Question: c.Question,
		Protocol: study.Protocol{
			Metric:    study.Metric(c.Metric),
			Threshold: c.Threshold,
			Confirm:   c.Confirm,
			Estimand:  study.Estimand(c.Estimand),
			Claim:     c.rule(),
		},
		CarePlan: c.over(study.DefaultCarePlan()),
	}
	if err := st.Validate().OrNil(); err != nil {
		return usageError("study add: " + err.Error())
	}
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := s.AddStudy(ctx, st); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "study %s: %s\nclaims: %s\nplan: %s\n", st.Code, protocolWords(st.Protocol), claimWords(st.Protocol.Claim),
		planWords(st.CarePlan))
	return nil
}

type studyListCommand struct{}

// Run lists the studies.
func (studyListCommand) Run(ctx context.Context, a *app) error {
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	studies, err := s.Studies(ctx)
	if err != nil {
		return err
	}
	if len(studies) == 0 {
		fmt.Fprintln(a.out, "no study yet: 'beadspan study add CODE' adds one, and so does the first 'beadspan load PATH'")
		return nil
	}
	t := reports.NewTextTable()
	t.AppendHeader(table.Row{"Study", "Protocol", "Question"})
	for _, st := range studies {
		t.AppendRow(table.Row{st.Code, protocolWords(st.Protocol), st.Question})
	}
	t.SetColumnConfigs([]table.ColumnConfig{
		{Number: 2, WidthMax: 44, WidthMaxEnforcer: text.WrapSoft},
		{Number: 3, WidthMax: 36, WidthMaxEnforcer: text.WrapSoft},
	})
	_, err = fmt.Fprintln(a.out, t.Render())
	return err
}

// protocolWords says a protocol in a line.
func protocolWords(p study.Protocol) string {
	side := "above"
	if p.Metric.HigherIsGood() {
		side = "below"
	}
	words := fmt.Sprintf("spent when %s is %s %s %s after a decon wash", p.Metric, side,
		strconv.FormatFloat(p.Threshold, 'f', -1, 64), p.Metric.Unit())
	if p.Confirm > 1 {
		words += fmt.Sprintf(", %d conclusive times in a row", p.Confirm)
	}
	if p.Estimand == study.ToTopper {
		return words + "; a patch leaves at its first topper"
	}
	return words + "; toppers are part of the care"
}
