package main

import (
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// linearMixedArgs asks for a linear case. Its columns y_marine … are the time
// in that climate, which are the effects of the climate on the slope.
func linearMixedArgs(c referenceCheck) []string {
	fixed := c.Inputs["fixed"].([]any)
	time := fixed[0].(string)
	args := []string{"--model", "linear", "--time", time, "--value", c.Inputs["response"].(string), "--group", c.Inputs["group"].(string),
		"--criterion", strings.ToLower(c.Inputs["criterion"].(string))}
	random := "start"
	if slices.Contains(c.Inputs["random"].([]any), any(time)) {
		random = "start,slope"
	}
	args = append(args, "--random", random)
	if c.Inputs["correlated"].(bool) {
		args = append(args, "--correlated")
	}
	if len(fixed) > 1 {
		args = append(args, "--on", "slope", "--covariates", strings.ReplaceAll(joined(fixed[1:]), "y_", ""))
	}
	return args
}

func linearMixedExpected(c referenceCheck) map[string]any {
	expected := maps.Clone(c.Expected)
	expected["bic"] = expected["bic_n_total"]
	delete(expected, "bic_n_total")
	delete(expected, "lme_loglik") // the same by another program
	names := slices.Clone(expected["fixed_names"].([]any))
	for i, name := range names {
		names[i] = strings.Replace(name.(string), "y_", "years:", 1)
	}
	expected["fixed_names"] = names
	return expected
}

// mixedCurve says how to ask for the curve of a case, and what it calls ours.
type mixedCurve struct {
	args  string
	nodes int // of its adaptive quadrature
	ours  map[string]mixedTerm
}

// mixedTerm is what a parameter of a case is in our terms.
type mixedTerm struct {
	name      string
	minus     bool // theirs is log(1/τ), ours log τ
	logarithm bool // ours is the logarithm
}

// mixedCurves lists the curves by the name of the case's file.
func mixedCurves(file string) mixedCurve {
	decay := map[string]mixedTerm{
		"inf": {name: "floor"}, "a0": {name: "start"}, "lk": {name: "log tau", minus: true}, "lk.(Intercept)": {name: "log tau", minus: true},
		"lk.marine": {name: "log tau: marine", minus: true}, "lk.desert": {name: "log tau: desert", minus: true}, "lk.cold": {name: "log tau: cold", minus: true},
	}
	return map[string]mixedCurve{
		"sim-exponential-decay": {"--time years --value angle --random tau", 25, decay},
		"sim-decay-two-random":  {"--time years --value angle --random start,tau", 0, decay},
		"loblolly-asymptotic": {"--time age --value height --random floor --start floor=100,start=-5,tau=30", 41, map[string]mixedTerm{
			"Asym": {name: "floor"}, "R0": {name: "start"}, "lrc": {name: "log tau", minus: true}}},
		"orange-logistic": {"--model logistic --time age --value circumference --random floor --hold top=0 --start floor=190,mid=700,width=350", 41,
			map[string]mixedTerm{"Asym": {name: "floor"}, "xmid": {name: "mid"}, "scal": {name: "log width", logarithm: true}}},
	}[file]
}

func curveMixedArgs(c referenceCheck) []string {
	args := append(strings.Fields(mixedCurves(c.file).args), "--group", c.Inputs["group"].(string), "--nodes", "0")
	if names := fmt.Sprint(c.Expected["fixed_names"]); strings.Contains(names, "lk.marine") {
		args = append(args, "--covariates", "marine,desert,cold")
	}
	return args
}

// curveMixedExpected turns rates into times, and names into ours.
func curveMixedExpected(c referenceCheck) map[string]any {
	terms := mixedCurves(c.file).ours
	expected := maps.Clone(c.Expected)
	names, fixed, errors := c.list("fixed_names"), slices.Clone(c.list("fixed")), slices.Clone(c.list("se_fixed"))
	ours := make([]any, len(names))
	for i, name := range names {
		term := terms[name.(string)]
		value, se := fixed[i].(float64), errors[i].(float64)
		switch {
		case term.minus:
			value = -value
		case term.logarithm:
			value, se = math.Log(value), se/value
		}
		ours[i], fixed[i], errors[i] = term.name, value, se
	}
	expected["fixed_names"], expected["fixed"], expected["se_fixed"] = ours, fixed, errors
	random := slices.Clone(c.list("random_names"))
	for i, name := range random {
		random[i] = terms[name.(string)].name
		if terms[name.(string)].minus {
			for _, group := range c.list("blups") {
				effects := group.(map[string]any)["random_effect"].([]any)
				effects[i] = -effects[i].(float64)
			}
		}
	}
	expected["random_names"] = random
	return expected
}

// sameGroups picks the groups that a case lists.
func sameGroups(got, want []any) (picked []any) {
	for _, w := range want {
		at := slices.IndexFunc(got, func(g any) bool { return g.(map[string]any)["group"] == w.(map[string]any)["group"] })
		if at >= 0 {
			picked = append(picked, got[at])
		}
	}
	return picked
}

// TestCalcQuadrature holds --nodes against the cases' own quadrature, whose
// search left a gradient of 1e-3 in one of them: 5e-5 of any number are allowed.
func TestCalcQuadrature(t *testing.T) {
	done := 0
	eachReference(t, "mixed-effects/*", func(c referenceCase, check referenceCheck) {
		exact, has := check.Expected["exact_marginal_likelihood"].(map[string]any)
		if !has {
			return
		}
		done++
		args := append([]string{"calc", "mixed", c.Data.File}, curveMixedArgs(check)...)
		args = append(args, "--nodes", fmt.Sprint(mixedCurves(check.file).nodes))
		check.Expected = map[string]any{"fixed_names": check.Expected["fixed_names"], "fixed": exact["fixed"], "se_fixed": exact["se_fixed"]}
		want := curveMixedExpected(check)
		want["random_sd"], want["residual_sd"], want["loglik"] = []any{exact["random_sd"]}, exact["residual_sd"], exact["loglik"]
		delete(want, "random_names")
		got := mustJSON(t, args...)
		for key, value := range want {
			compare(t, c.ID+"/"+check.ID+" "+key, got[key], value, tolerance{Rel: 5e-5, Abs: 5e-5})
		}
	})
	assert.Equal(t, 4, done)
}

// TestCalcMixedWithin: groups within groups. The data are those of Davies and
// Goldsmith, Statistical Methods in Research and Production, 4th ed. (1972),
// 136: the strength of two samples from each of three casks of ten batches. The
// numbers are those that the author of R's lme4 printed of its fit by maximum
// likelihood (from memory).
func TestCalcMixedWithin(t *testing.T) {
	pastes := [10]string{"62.8 62.6 60.1 62.3 62.7 63.1", "60 61.4 57.5 56.9 61.1 58.9", "58.7 57.5 63.9 63.1 65.4 63.7",
		"57.1 56.4 56.9 58.6 64.7 64.5", "55.1 55.1 54.7 54.2 58.8 57.5", "63.4 64.9 59.3 58.1 60.5 60",
		"62.5 62.6 61 58.7 56.9 57.7", "59.2 59.4 65.2 66 64.8 64.1", "54.8 54.8 64 64 57.7 56.8", "58.3 59.3 59.2 59.2 58.9 56.6"}
	text := "batch,cask,day,strength\n"
	for batch, strengths := range pastes {
		for i, strength := range strings.Fields(strengths) {
			text += fmt.Sprintf("%c,%c,0,%s\n", 'A'+batch, 'a'+i/2, strength)
		}
	}
	file := filepath.Join(t.TempDir(), "pastes.csv")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	args := []string{"calc", "mixed", file, "--model", "linear", "--hold", "slope=0", "--time", "day", "--value", "strength", "--group", "batch,cask"}
	got := mustJSON(t, args...)
	near := tolerance{Abs: 5e-5}
	compare(t, "mean", got["fixed"], []any{60.0533}, near)
	compare(t, "its error", got["se_fixed"], []any{0.6421}, near)
	compare(t, "batches", got["random_sd"], []any{1.0951}, near)
	compare(t, "casks", got["inner"].(map[string]any)["random_sd"], []any{2.9041}, near)
	compare(t, "samples", got["residual_sd"], 0.8234, near)
	compare(t, "AIC", got["aic"], 256.0, tolerance{Abs: 0.05})
	assert.EqualValues(t, 30, got["inner_groups"])
	assert.Contains(t, must(t, args...), "10 groups by batch, 30 by cask within")
}

// TestCalcMixedWeights: of values that are all means of four readings, one
// reading scatters twice as much. The numbers are those of the case sleepstudy.
func TestCalcMixedWeights(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(referenceFolder, "mixed-effects", "sleepstudy.csv"))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "f.csv")
	weighted := strings.ReplaceAll(strings.TrimSpace(strings.ReplaceAll(string(text), "\r", "")), "\n", ",4\n") + ",4\n"
	require.NoError(t, os.WriteFile(file, []byte(strings.Replace(weighted, ",4\n", ",w\n", 1)), 0o644))
	for _, criterion := range []string{"reml", "ml"} {
		got := mustJSON(t, "calc", "mixed", file, "--model", "linear", "--time", "days", "--value", "reaction", "--group", "subject",
			"--random", "start,slope", "--correlated", "--weight", "w", "--criterion", criterion)
		compare(t, criterion, got["fixed"], []any{251.40510484848275, 10.46728595959616}, tolerance{Rel: 1e-7})
		compare(t, criterion, got["residual_sd"], 2*25.59181562318332, tolerance{Rel: 1e-6})
	}
}

// TestCalcMixedNotEstimable: what the data do not tell is null, with the reason.
func TestCalcMixedNotEstimable(t *testing.T) {
	for name, c := range map[string]struct{ text, options, says string }{
		"one group":   {"g,t,y\na,0,110\na,1,100\na,2,95\na,3,90\na,4,88\n", "", "2 are needed to see how groups differ"},
		"too few":     {"g,t,y\na,0,110\nb,1,100\n", "", "too few readings"},
		"constant":    {"g,t,y\na,0,100\na,1,100\na,2,100\na,3,100\na,4,100\nb,0,100\nb,1,100\n", "", "no fall"},
		"rising":      {"g,t,y\na,0,60\na,1,70\na,2,75\nb,0,60\nb,3,80\nb,4,83\n", "", "no fall"},
		"exact lines": {"g,t,y\na,0,60\na,1,50\na,2,40\nb,0,70\nb,1,60\nb,2,50\n", "--model linear", "not told apart"},
		"one time":    {"g,t,y\na,1,60\na,1,61\nb,1,70\nb,1,72\n", "--model linear --criterion reml", "not told apart"},
	} {
		file := filepath.Join(t.TempDir(), "f.csv")
		require.NoError(t, os.WriteFile(file, []byte(c.text), 0o644))
		args := append([]string{"calc", "mixed", file, "--time", "t", "--value", "y", "--group", "g"}, strings.Fields(c.options)...)
		got := mustJSON(t, args...)
		assert.Contains(t, fmt.Sprint(got["notes"]), c.says, name)
		assert.Nil(t, got["loglik"], name)
		assert.Nil(t, got["singular"], name)
		for _, value := range got["fixed"].([]any) {
			assert.Nil(t, value, name)
		}
		assert.Contains(t, must(t, args...), "not estimable", name)
	}
}

// TestCalcMixedRefuses: what the file cannot answer is an error that says what
// to do.
func TestCalcMixedRefuses(t *testing.T) {
	file := filepath.Join(t.TempDir(), "f.csv")
	require.NoError(t, os.WriteFile(file, []byte("g,t,y,x\na,0,250,1\na,1,200,1\na,2,150,2\nb,0,x,1\nb,1,100,\n"), 0o644))
	for options, says := range map[string]string{
		"":                           "row 5, y: \"x\": expected a number",
		"--where g=a":                "to fit what is no angle, give --start",
		"--where g=a --start tau=-1": "to fit what is no angle, give --start",
		"--where g=a --covariates x --predict x=1,g=a --model linear": "has one value, and nothing else has",
	} {
		r := beadspan(t, append([]string{"calc", "mixed", file, "--time", "t", "--value", "y", "--group", "g"}, strings.Fields(options)...)...)
		assert.Equal(t, exitFailed, r.code, options)
		assert.Contains(t, r.err, says, options)
		assert.Empty(t, r.out, options)
	}
}
