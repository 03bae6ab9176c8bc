package main

import (
	"context"
	"fmt"

	"github.com/google/uuid"

	"beadspan/study"
)

type amendCommand struct {
	List    amendListCommand    `cmd:"" help:"List amendments with what they change."`
	Accept  amendAcceptCommand  `cmd:"" help:"Let the record say what the amendment says."`
	Decline amendDeclineCommand `cmd:"" help:"Leave the record as it is."`
}

// Help explains the commands with an example.
func (amendCommand) Help() string {
	return `A log that says otherwise than a stored record changes nothing: the difference is
kept as a proposed amendment until somebody decides. What a record said before stays
in its amendments.

Example:
  beadspan amend list
  beadspan amend accept 0190f5c2-... --by MK --why "angle typed with a digit too many"`
}

type amendListCommand struct {
	studyFlag
	State string `enum:"proposed,accepted,declined" default:"proposed" help:"Which: proposed, accepted or declined."`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run lists the amendments.
func (c amendListCommand) Run(ctx context.Context, a *app) error {
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	st, err := c.study(ctx, s)
	if err != nil {
		return err
	}
	amendments, err := s.Amendments(ctx, st.ID, study.AmendmentState(c.State))
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(a.out, amendments)
	}
	for _, m := range amendments {
		fmt.Fprintf(a.out, "%s  %s\n", m.ID, m.Record)
		for _, change := range m.Changes {
			fmt.Fprintf(a.out, "    %s\n", change)
		}
		if m.DecidedAt != nil {
			fmt.Fprintf(a.out, "    %s %s by %s: %s\n", m.State, study.DayOfTime(*m.DecidedAt), m.DecidedBy, m.DecidedWhy)
		}
	}
	fmt.Fprintf(a.out, "%s %s\n", counted(len(amendments), "amendment"), c.State)
	return nil
}

// decision is what accepting and declining have in common.
type decision struct {
	ID  string `arg:"" help:"Id of the amendment, from 'beadspan amend list'."`
	By  string `required:"" placeholder:"WHO" help:"Initials or staff code of who decides."`
	Why string `required:"" placeholder:"WORDS" help:"Why, in a few words, for those who read the record later."`
}

type amendAcceptCommand struct{ decision }

// Run accepts an amendment.
func (c amendAcceptCommand) Run(ctx context.Context, a *app) error {
	return c.decide(ctx, a, study.Accepted)
}

type amendDeclineCommand struct{ decision }

// Run declines an amendment.
func (c amendDeclineCommand) Run(ctx context.Context, a *app) error {
	return c.decide(ctx, a, study.Declined)
}

func (d decision) decide(ctx context.Context, a *app, state study.AmendmentState) error {
	id, err := uuid.Parse(d.ID)
	if err != nil {
		return usageError(fmt.Sprintf("amend: %q is not an amendment's id; 'beadspan amend list' shows them", d.ID))
	}
	if err := (study.Person{Code: d.By}).Validate().OrNil(); err != nil {
		return usageError("amend: --by: " + err.Error())
	}
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	if state == study.Accepted {
		err = s.Accept(ctx, id, d.By, d.Why)
	} else {
		err = s.Decline(ctx, id, d.By, d.Why)
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(a.out, state)
	return nil
}
