package main

import (
	"context"
	"fmt"
	"strings"

	"beadspan/study"
)

// carePlanFlags say how often a study wants its vehicles cared for and checked.
type carePlanFlags struct {
	WashDays      *int `placeholder:"DAYS" help:"Maintenance wash every so many days; 0 is never. A new study has ${wash_days}."`
	IronDays      *int `placeholder:"DAYS" help:"Iron remover, also as part of a decon wash. A new study has ${iron_days}."`
	DeconDays     *int `placeholder:"DAYS" help:"Decon wash. A new study has ${decon_days}."`
	SaltDeconDays *int `placeholder:"DAYS" help:"Decon wash in the salt season, with one more when it is over. A new study has ${salt_decon_days}."`
	CheckupDays   *int `placeholder:"DAYS" help:"Checkup. A new study has ${checkup_days}."`
}

// carePlanVars are the defaults for the help.
func carePlanVars() map[string]string {
	p := study.DefaultCarePlan()
	vars := map[string]string{}
	for name, days := range map[string]int{"wash_days": p.WashDays, "iron_days": p.IronDays, "decon_days": p.DeconDays,
		"salt_decon_days": p.SaltDeconDays, "checkup_days": p.CheckupDays} {
		vars[name] = fmt.Sprint(days)
	}
	return vars
}

// over is the plan with what the flags say in place of what it says.
func (f carePlanFlags) over(p study.CarePlan) study.CarePlan {
	for _, flag := range []struct{ from, into *int }{
		{f.WashDays, &p.WashDays}, {f.IronDays, &p.IronDays}, {f.DeconDays, &p.DeconDays},
		{f.SaltDeconDays, &p.SaltDeconDays}, {f.CheckupDays, &p.CheckupDays},
	} {
		if flag.from != nil {
			*flag.into = *flag.from
		}
	}
	return p
}

type studyPlanCommand struct {
	studyFlag
	carePlanFlags
	JSON bool `name:"json" help:"Print the plan as JSON."`
}

// Help explains the command with an example.
func (studyPlanCommand) Help() string {
	return `Shows how often the study wants its vehicles washed and checked, and changes what you
name. "beadspan due" goes by it. The intervals of a new study are common practice, no
source: what the coating's maker says comes first.

Example:
  beadspan study plan
  beadspan study plan --wash-days 30 --checkup-days 60
  beadspan study plan --iron-days 0      # ask for no iron remover`
}

// Run shows or changes the plan.
func (c studyPlanCommand) Run(ctx context.Context, a *app) error {
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	st, err := c.study(ctx, s)
	if err != nil {
		return err
	}
	plan := c.over(st.CarePlan)
	if err := plan.Validate().OrNil(); err != nil {
		return usageError("study plan: " + err.Error())
	}
	if plan != st.CarePlan {
		if err := s.SetCarePlan(ctx, st.ID, plan); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(a.out, plan)
	}
	_, err = fmt.Fprintf(a.out, "study %s: %s\n", st.Code, planWords(plan))
	return err
}

// planWords says a care plan in a line.
func planWords(p study.CarePlan) string {
	var words []string
	say := func(what string, days int) {
		if days > 0 {
			words = append(words, fmt.Sprintf("%s every %d days", what, days))
		}
	}
	say("maintenance wash", p.WashDays)
	say("iron remover", p.IronDays)
	say("decon wash", p.DeconDays)
	say("decon wash in the salt season", p.SaltDeconDays)
	say("checkup", p.CheckupDays)
	if len(words) == 0 {
		return "no care and no checkups are asked for"
	}
	return strings.Join(words, ", ")
}
