package main

import (
	"fmt"
	"strings"
)

// calcMethod says how a method of the reference is asked of calc.
type calcMethod struct {
	command string
	apart   bool // the numbers stand in the one group
	args    func(referenceCheck) []string

	// expected puts what is expected in our terms, if it is not in them.
	expected func(referenceCheck) map[string]any
}

var calcMethods = map[string]calcMethod{
	"km": {command: "km", apart: true, args: func(c referenceCheck) []string {
		args := append(c.columns(), "--conf-type", "log-log,log,plain,logit,arcsin")
		if c.Expected["rmst"] != nil {
			args = append(args, "--tau", fields(c.Expected["rmst"], "tau"))
		}
		return args
	}},
	"npmle": {command: "turnbull", apart: true, args: func(c referenceCheck) []string {
		args := append(c.columns(), "--replicates", "0")
		if c.Expected["survival_at"] != nil {
			args = append(args, "--at", fields(c.Expected["survival_at"], "time"))
		}
		return args
	}},
	"logrank": {command: "logrank", args: func(c referenceCheck) []string {
		args := append(c.columns(), "--rank-weight", c.Inputs["rank_weight"].(string))
		if c.Expected["trend"] != nil {
			args = append(args, "--trend")
		}
		return args
	}},
	"pairwise_logrank": {command: "logrank", args: func(c referenceCheck) []string {
		return append(c.columns(), "--pairs")
	}},
	"ic_score_test": {command: "logrank", args: func(c referenceCheck) []string {
		return append(c.columns(), "--scores", c.Inputs["scores"].(string))
	}},
	"cox": {command: "cox", args: func(c referenceCheck) []string {
		args := append(c.columns(), "--ties", c.Inputs["ties"].(string))
		if predicted, is := c.Expected["predicted_survival"].(map[string]any); is {
			args = append(args, "--predict", valuesText(predicted["x"], predicted["strata"]), "--at", joined(predicted["times"]))
		}
		return args
	}},
	"aft": {command: "aft", args: func(c referenceCheck) []string {
		args := append(c.columns(), "--distribution", c.Inputs["distribution"].(string), "--robust", "plain")
		for i, life := range c.list("predictions") {
			predicted := life.(map[string]any)
			if i == 0 {
				args = append(args, "--quantiles", fields(predicted["quantiles"], "failure_probability"))
			}
			if x := predicted["x"].(map[string]any); len(x) > 0 {
				delete(x, "female.1") // the case names a column twice that is covariate and stratum
				args = append(args, "--predict", valuesText(x))
			}
			if i == 0 && predicted["survival_at"] != nil {
				args = append(args, "--at", fields(predicted["survival_at"], "time"))
			}
		}
		return args
	}},
	"km_at": {command: "km", apart: true, args: func(c referenceCheck) []string {
		return append(c.columns(), "--at", fmt.Sprint(c.Inputs["at"]))
	}},
	"nls":  {command: "decay", apart: true, args: decayArgs, expected: decayExpected},
	"lme":  {command: "mixed", args: linearMixedArgs, expected: linearMixedExpected},
	"nlme": {command: "mixed", args: curveMixedArgs, expected: curveMixedExpected},
}

// valuesText writes the values of a life to predict for.
func valuesText(of ...any) string {
	var words []string
	for _, values := range of {
		columns, _ := values.(map[string]any)
		for column, value := range columns {
			words = append(words, fmt.Sprintf("%s=%v", column, value))
		}
	}
	return strings.Join(words, ",")
}

// joined writes a list as an option takes it.
func joined(list any) string {
	var words []string
	for _, word := range list.([]any) {
		words = append(words, fmt.Sprint(word))
	}
	return strings.Join(words, ",")
}

// fields joins one field of each object of a list.
func fields(list any, key string) string {
	var values []any
	for _, object := range list.([]any) {
		values = append(values, object.(map[string]any)[key])
	}
	return joined(values)
}

// list is an expected list, none if there is no such key.
func (c referenceCheck) list(key string) []any {
	list, _ := c.Expected[key].([]any)
	return list
}

// columns are the options that the inputs of nearly all methods come to.
func (c referenceCheck) columns() (args []string) {
	for input, option := range map[string]string{
		"time": "--time", "status": "--status", "left": "--lower", "right": "--upper",
		"entry": "--entry", "weight": "--weight", "group": "--group", "cluster": "--cluster",
		"conf_level": "--conf-level", "strata": "--stratum", "scale_strata": "--stratum", "x": "--covariates",
	} {
		switch value := c.Inputs[input].(type) {
		case nil:
		case []any:
			if len(value) > 0 {
				args = append(args, option, joined(value))
			}
		default:
			args = append(args, option, fmt.Sprint(value))
		}
	}
	subset, _ := c.Inputs["subset"].(map[string]any)
	for column, value := range subset {
		args = append(args, "--where", fmt.Sprintf("%s=%v", column, value))
	}
	return args
}
