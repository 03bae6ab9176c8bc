package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// referenceCase is a file of testdata/reference: numbers of other software,
// whose sources it names.
type referenceCase struct {
	ID        string
	Data      struct{ File string }
	Tolerance tolerance `json:"default_tolerance"`
	Checks    []referenceCheck
}

type referenceCheck struct {
	ID, Method string
	Inputs     map[string]any
	Expected   map[string]any
	Tolerance  *tolerance
	Advisory   bool

	file string // of the case, without its ending
}

// tolerance accepts what lies within Abs + Rel·|want|. Curves and mixed models
// have one for each kind of number, relative but for log-likelihoods.
type tolerance struct {
	Rel, Abs float64
	Fixed    float64 `json:"fixed_rel"`
	SE       float64 `json:"se_rel"`
	Variance float64 `json:"variance_rel"`
	LogLik   float64 `json:"loglik_abs"`

	Parameters float64 `json:"parameters_rel"`
}

// of is what a field may be off by.
func (t tolerance) of(key string) tolerance {
	switch {
	case t.Parameters > 0 && slices.Contains([]string{"loglik", "aic", "bic", "aicc"}, key):
		return tolerance{Rel: 1e-8}
	case t.Parameters > 0:
		return tolerance{Rel: t.Parameters}
	case t.Fixed == 0:
		return t
	case key == "fixed":
		return tolerance{Rel: t.Fixed}
	case key == "se_fixed":
		return tolerance{Rel: t.SE}
	case key == "vcov_fixed":
		return tolerance{Rel: 2 * t.SE}
	case key == "loglik", key == "aic", key == "bic":
		return tolerance{Abs: 2 * t.LogLik} // an AIC has it twice
	case key == "random_correlation":
		return tolerance{Abs: t.Variance} // 0 is no border to it
	}
	return tolerance{Rel: t.Variance, Abs: t.Variance / 1000}
}

// referenceFolder is where the cases are, from this package.
const referenceFolder = "../../testdata/reference"

// notCalculated lists what calc does not reproduce, by method and field, or by
// check and field, or whole checks, with the reason. Every other expected number must be in what calc prints.
var notCalculated = map[string]string{
	"aft/channing-left-truncated/female-weibull":                "not at a maximum: shown by stats/survival/aft's TestDisputedMaximum",
	"aft/sim-climate-mixed/weibull-cluster-climate robust_vcov": "of a rank that it can't have: shown by TestDisputedSandwich",
	"aft/sim-climate-mixed/weibull-cluster-climate robust_se":   "the same",
	"aft/tobin-left/gaussian":                                   "its response is no time, of which logarithms can be taken",

	"pairwise_logrank p_bonferroni": "Holm's adjustment is at least as sharp, and needs no more",
	"pairwise_logrank p_bh":         "controls another rate of error than the one we speak of",
	"ic_score_test score_total":     "0 but for rounding",
	"ic_score_test pooled_loglik":   "is that of calc turnbull without groups",
	"ic_score_test permutation_p":   "random: another seed gives another",
	"ic_score_test published":       "of a slightly other version of the data",

	"npmle kkt_max_excess":                        "says how well the case was made; ours is kkt_gap",
	"npmle kkt_support_error":                     "says how well the case was made; ours is kkt_gap",
	"npmle normalised_gradient":                   "says how well the case was made; ours is kkt_gap",
	"decay-curves/field-one-vehicle/power":        "a power law is none of our curves: run by stats/decay",
	"mixed-effects/theophylline/diagonal-lKa-lCl": "what is taken in and then cleared does not fall throughout: run by stats/decay/mixed",
	"nlme se_fixed_as_printed_by_summary":         "is se_fixed with a factor that only its program prints",
	"nlme exact_marginal_likelihood":              "in TestCalcQuadrature",

	"npmle closed_interval_variant": "another convention about the ends of intervals, which we do not follow",
}

// TestCalcReference holds what "beadspan calc … --json" prints against the
// reference cases, field by field.
func TestCalcReference(t *testing.T) {
	// NIST's decay-curves have models of their own, which stats/decay runs.
	for _, cases := range []string{"kaplan-meier/*", "npmle/*", "cox/*", "aft/*", "decay-curves/field-*", "mixed-effects/*"} {
		eachReference(t, cases, func(c referenceCase, check referenceCheck) {
			if check.Advisory {
				return // what a program does, not what is right
			}
			t.Run(c.ID+"/"+check.ID, func(t *testing.T) { c.run(t, check) })
		})
	}
}

// eachReference visits the checks of the cases whose files match a pattern,
// without its ending.
func eachReference(t *testing.T, cases string, visit func(referenceCase, referenceCheck)) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(referenceFolder, cases+".json"))
	require.NoError(t, err)
	require.NotEmpty(t, paths, cases)
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		var c referenceCase
		require.NoError(t, json.Unmarshal(text, &c), path)
		c.Data.File = filepath.Join(filepath.Dir(path), c.Data.File)
		for _, check := range c.Checks {
			check.file = strings.TrimSuffix(filepath.Base(path), ".json")
			visit(c, check)
		}
	}
}

func (c referenceCase) run(t *testing.T, check referenceCheck) {
	method, known := calcMethods[check.Method]
	require.True(t, known, "no command for method %q", check.Method)
	id := c.ID + "/" + check.ID
	if reason := notCalculated[id]; reason != "" {
		t.Skip(reason)
	}
	args := append([]string{"calc", method.command, c.Data.File}, method.args(check)...)
	if method.expected != nil {
		check.Expected = method.expected(check)
	}
	got := mustJSON(t, args...)
	if groups, apart := got["groups"].([]any); apart && method.apart {
		require.Len(t, groups, 1)
		got = groups[0].(map[string]any)
	}
	if check.Tolerance == nil {
		check.Tolerance = &c.Tolerance
	}
	if check.Method == "km_at" {
		got = got["survival_at"].([]any)[0].(map[string]any)
	}
	if lives, is := got["predicted_survival"].([]any); is && len(lives) == 1 {
		got["predicted_survival"] = lives[0] // the reference has one at most
	}
	if groups := check.list("blups"); groups != nil {
		got["blups"] = sameGroups(got["blups"].([]any), groups)
	}
	if first := check.list("scores_first_rows"); first != nil {
		got["scores_first_rows"] = got["row_scores"].([]any)[:len(first)]
	}
	for key, want := range check.Expected {
		if notCalculated[check.Method+" "+key] == "" && notCalculated[id+" "+key] == "" {
			compare(t, key, got[key], want, check.Tolerance.of(key))
		}
	}
}

// mustJSON is must for a command's --json.
func mustJSON(t *testing.T, args ...string) map[string]any {
	t.Helper()
	var got map[string]any
	require.NoError(t, json.Unmarshal([]byte(must(t, append(slices.Clone(args), "--json")...)), &got))
	return got
}

// compare holds what was printed against what was expected: all of the latter
// must be there; objects may say more.
func compare(t *testing.T, where string, got, want any, tol tolerance) {
	t.Helper()
	switch want := want.(type) {
	case map[string]any:
		object, is := got.(map[string]any)
		if !assert.True(t, is, "%s: got %v, want an object", where, got) {
			return
		}
		for key := range want {
			compare(t, where+"."+key, object[key], want[key], tol)
		}
	case []any:
		if _, is := got.(float64); is && len(want) == 1 {
			compare(t, where, got, want[0], tol) // the reference has some numbers as a matrix of one
			return
		}
		list, is := got.([]any)
		if !assert.True(t, is, "%s: got %v, want a list", where, got) ||
			!assert.Len(t, list, len(want), where) {
			return
		}
		for i := range want {
			compare(t, fmt.Sprintf("%s[%d]", where, i), list[i], want[i], tol)
		}
	case float64:
		x, is := got.(float64)
		near := is && math.Abs(x-want) <= tol.Abs+tol.Rel*math.Abs(want)
		assert.True(t, near, "%s: got %v, want %v", where, got, want)
	default:
		assert.Equal(t, want, got, where)
	}
}
