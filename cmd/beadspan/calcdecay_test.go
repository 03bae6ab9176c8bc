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

// decayCurve says how to ask for the curve of a case. Its parameters come in
// our order, without the floor where that is held at 0.
type decayCurve struct {
	args  string
	named []string
	floor bool // held
	rate  int  // the place of a rate whose inverse is ours; −1 without
}

var decayCurves = map[string]decayCurve{
	"b1+(b2-b1)*exp(-b3*x)": {"--model exponential", []string{"floor", "start", "tau"}, false, 2},
	"b1*exp(-b2*x)":         {"--model exponential --floor 0", []string{"start", "tau"}, true, 1},
	"b1-b2*x":               {"--model linear", []string{"start", "rate"}, false, -1},
	"b1*exp(-(x/b2)^b3)":    {"--model stretched --floor 0", []string{"start", "tau", "power"}, true, -1},
	"b1/(1+exp((x-b2)/b3))": {"--model logistic --floor 0", []string{"top", "mid", "width"}, true, -1},
}

func decayArgs(c referenceCheck) []string {
	curve := decayCurves[c.Inputs["model"].(string)]
	args := append(c.columns(), "--time", "x", "--value", c.Inputs["response"].(string))
	return append(append(args, strings.Fields(curve.args)...), "--at", fields(c.Expected["predictions"], "x"),
		"--threshold", fmt.Sprint(c.Expected["time_to_threshold"].(map[string]any)["threshold"]))
}

// decayExpected turns a rate into a time, and adds a floor that is held.
func decayExpected(c referenceCheck) map[string]any {
	curve := decayCurves[c.Inputs["model"].(string)]
	refined := maps.Clone(c.Expected["refined"].(map[string]any))
	parameters, sd := refined["parameters"].([]any), refined["sd"].([]any)
	names, variance := []any{}, []any{}
	for i, row := range refined["vcov"].([]any) {
		names = append(names, curve.named[i])
		variance = append(variance, row.([]any))
	}
	if r := curve.rate; r >= 0 {
		rate := parameters[r].(float64)
		parameters[r] = 1 / rate
		sd[r] = sd[r].(float64) / rate / rate
		for i, row := range variance {
			row.([]any)[r] = -row.([]any)[r].(float64) / rate / rate
			if i == r {
				for j := range row.([]any) {
					row.([]any)[j] = -row.([]any)[j].(float64) / rate / rate
				}
			}
		}
	}
	if curve.floor {
		names, parameters, sd = append([]any{"floor"}, names...), append([]any{0.0}, parameters...), append([]any{nil}, sd...)
		none := []any{}
		for range names {
			none = append(none, 0.0)
		}
		for i, row := range variance {
			variance[i] = append([]any{0.0}, row.([]any)...)
		}
		variance = append([]any{none}, variance...)
	}
	refined["names"], refined["parameters"], refined["sd"], refined["vcov"] = names, parameters, sd, variance
	expected := maps.Clone(c.Expected)
	expected["refined"] = refined
	expected["time_to_threshold"] = []any{c.Expected["time_to_threshold"]}
	return expected
}

// TestCalcDecayFromStart: values of any kind, from a start. The data and the
// certified numbers are those of NIST's StRD case Misra1a, y = b1 (1 − e^(−b2 t)),
// in our terms a curve from 0 to a floor b1 with τ = 1/b2.
func TestCalcDecayFromStart(t *testing.T) {
	file := filepath.Join(referenceFolder, "decay-curves", "nist-misra1a.csv")
	args := []string{"calc", "decay", file, "--time", "x", "--value", "y", "--hold", "start=0", "--start", "floor=500,tau=10000"}
	got := mustJSON(t, args...)
	curve := got["groups"].([]any)[0].(map[string]any)
	refined := curve["refined"].(map[string]any)
	b1, b2 := 2.3894212918e+02, 5.5015643181e-04
	se1, se2 := 2.7070075241e+00, 7.2668688436e-06
	compare(t, "parameters", refined["parameters"], []any{b1, 0.0, 1 / b2}, tolerance{Rel: 1e-9})
	compare(t, "sd", refined["sd"], []any{se1, nil, se2 / b2 / b2}, tolerance{Rel: 1e-6})
	compare(t, "rss", refined["rss"], 1.2455138894e-01, tolerance{Rel: 1e-9})
	compare(t, "residual_sd", refined["residual_sd"], 1.0187876330e-01, tolerance{Rel: 1e-9})
	assert.Nil(t, curve["falls"])
}

// TestCalcDecayNotEstimable: groups that tell no curve say why, and the others
// have theirs.
func TestCalcDecayNotEstimable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "f.csv")
	text := "g,t,y\nfew,0,110\nfew,1,100\n" +
		"flat,0,100\nflat,1,100\nflat,2,100\nflat,3,100\nflat,4,100\n" +
		"low,0,70\nlow,1,65\nlow,2,62\nlow,3,61\nlow,4,60.1\n" +
		"falls,0,110\nfalls,1,92\nfalls,2,81\nfalls,3,73\nfalls,4,69\n" +
		"rises,0,60\nrises,1,70\nrises,2,81\nrises,3,83\nrises,4,90\n"
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	args := []string{"calc", "decay", file, "--time", "t", "--value", "y", "--group", "g", "--threshold", "90"}
	got := mustJSON(t, args...)
	curves := map[string]map[string]any{}
	for _, g := range got["groups"].([]any) {
		curves[g.(map[string]any)["group"].(string)] = g.(map[string]any)
	}
	assert.Nil(t, curves["few"]["falls"])
	assert.Nil(t, curves["few"]["loglik"])
	assert.Equal(t, []any{}, curves["few"]["time_to_threshold"])
	assert.Contains(t, fmt.Sprint(curves["few"]["notes"]), "too few readings")
	for name, outcome := range map[string]string{"flat": "not reached", "rises": "below from start", "low": "below from start", "falls": "crosses"} {
		crossing := curves[name]["time_to_threshold"].([]any)[0].(map[string]any)
		assert.Equal(t, outcome, crossing["outcome"], name)
		assert.Equal(t, outcome == "crosses", crossing["se"] != nil, name)
	}
	assert.Equal(t, false, curves["flat"]["falls"])
	assert.Equal(t, true, curves["falls"]["falls"])
	got = mustJSON(t, append(args, "--model", "auto")...)
	for _, g := range got["groups"].([]any) {
		curve := g.(map[string]any)
		assert.Equal(t, curve["group"] != "few", curve["model"] != nil, curve["group"])
	}
	printed := must(t, args...)
	for _, says := range []string{"not estimable", "no fall", "never", "from the start"} {
		assert.Contains(t, printed, says)
	}
}

// TestCalcDecayClusters: readings written down twice tell no more where limits
// are by the scatter between vehicles, and halve variances where they are not.
func TestCalcDecayClusters(t *testing.T) {
	file := filepath.Join(referenceFolder, "decay-curves", "field-fleet.csv")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	heading, rows, _ := strings.Cut(string(text), "\n")
	twice := filepath.Join(t.TempDir(), "f.csv")
	require.NoError(t, os.WriteFile(twice, []byte(heading+"\n"+strings.Repeat(strings.TrimSpace(rows)+"\n", 2)), 0o644))
	refined := func(file string, options ...string) map[string]any {
		got := mustJSON(t, append([]string{"calc", "decay", file, "--time", "x", "--value", "y"}, options...)...)
		curve := got["groups"].([]any)[0].(map[string]any)
		if options != nil {
			assert.EqualValues(t, 12, curve["clusters"])
		}
		return curve["refined"].(map[string]any)
	}
	compare(t, "by vehicle", refined(twice, "--cluster", "vehicle")["sd"], refined(file, "--cluster", "vehicle")["sd"], tolerance{Rel: 1e-6})
	once, again := refined(file)["sd"].([]any), refined(twice)["sd"].([]any)
	for j := range once {
		assert.InEpsilon(t, math.Sqrt(141.0/285), again[j].(float64)/once[j].(float64), 1e-6) // of n - p
	}
}

// TestCalcDecayRobust: a reading typed with a digit too many is told by its row,
// and hardly moves the curve from that of the reference case without it.
func TestCalcDecayRobust(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(referenceFolder, "decay-curves", "field-one-vehicle.csv"))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "f.csv")
	require.NoError(t, os.WriteFile(file, append(text, "400,169.7,1\n"...), 0o644))
	off := map[string]float64{}
	for _, robust := range []string{"none", "huber", "tukey"} {
		args := []string{"calc", "decay", file, "--time", "x", "--value", "y", "--robust", robust}
		got := mustJSON(t, args...)
		curve := got["groups"].([]any)[0].(map[string]any)
		const floor = 62.22015554369306 // of check exp_asymptote
		off[robust] = math.Abs(curve["refined"].(map[string]any)["parameters"].([]any)[0].(float64) - floor)
		if robust == "none" {
			assert.Equal(t, []any{}, curve["odd_readings"])
			continue
		}
		assert.Equal(t, robust, curve["robust"])
		assert.Nil(t, curve["aicc"])
		list := curve["odd_readings"].([]any)
		odd := list[len(list)-1].(map[string]any)
		assert.EqualValues(t, 26, odd["row"])
		assert.Less(t, odd["trust"], 0.25)
		assert.EqualValues(t, 169.7, odd["value"])
		assert.Contains(t, must(t, args...), "row 26")
	}
	assert.Less(t, off["huber"], off["none"]/2)
	assert.Less(t, off["tukey"], off["none"]/2)
}

// TestCalcDecayProfile: on a line, limits by the profile are the exact ones by
// Student's t; a held floor and a time that is not reached have none.
func TestCalcDecayProfile(t *testing.T) {
	for _, options := range []string{"--model linear --threshold 90", "--model linear --start start=0,rate=0"} {
		args := []string{"calc", "decay", filepath.Join(referenceFolder, "decay-curves", "field-sigmoid.csv"), "--time", "x", "--value", "y", "--profile"}
		got := mustJSON(t, append(args, strings.Fields(options)...)...)
		refined := got["groups"].([]any)[0].(map[string]any)["refined"].(map[string]any)
		compare(t, options, refined["profile"], refined["ci"], tolerance{Rel: 1e-8})
		assert.Contains(t, must(t, append(args, strings.Fields(options)...)...), "by its profile")
	}
	args := []string{"calc", "decay", filepath.Join(referenceFolder, "decay-curves", "field-one-vehicle.csv"), "--time", "x", "--value", "y",
		"--profile", "--floor", "60", "--threshold", "90,50"}
	got := mustJSON(t, args...)
	curve := got["groups"].([]any)[0].(map[string]any)
	assert.Nil(t, curve["refined"].(map[string]any)["profile"].(map[string]any)["lower"].([]any)[0])
	assert.Equal(t, []any{}, curve["notes"])
	crossings := curve["time_to_threshold"].([]any)
	assert.Nil(t, crossings[1].(map[string]any)["profile"])
	profile, limits := crossings[0].(map[string]any)["profile"], crossings[0].(map[string]any)
	compare(t, "nearly straight", profile, map[string]any{"lower": limits["lower"], "upper": limits["upper"]}, tolerance{Rel: 0.05})
}

// TestCalcDecayAuto: the shape of least AICc, here the one that the data were
// drawn from, with floor 0. The AICc of the three curves that the case has, the
// line's 159.072 among them, are its own; weights are e^(−Δ/2) over their sum.
func TestCalcDecayAuto(t *testing.T) {
	file := filepath.Join(referenceFolder, "decay-curves", "field-sigmoid.csv")
	args := []string{"calc", "decay", file, "--time", "x", "--value", "y", "--floor", "0", "--model", "auto", "--threshold", "90"}
	got := mustJSON(t, args...)
	curve := got["groups"].([]any)[0].(map[string]any)
	assert.Equal(t, "logistic", curve["model"])
	weights, sum := map[string]float64{}, 0.0
	for _, c := range curve["choice"].([]any) {
		choice := c.(map[string]any)
		weights[choice["model"].(string)] = choice["weight"].(float64)
		if want := map[string]float64{"logistic": 88.63910363388719, "stretched": 89.66909548707658, "linear": 159.07161740498717}[choice["model"].(string)]; want > 0 {
			compare(t, fmt.Sprint(choice["model"]), choice["aicc"], want, tolerance{Rel: 1e-8})
		}
		sum += choice["weight"].(float64)
	}
	assert.Len(t, weights, 4)
	assert.InDelta(t, 1, sum, 1e-12)
	ratio := math.Exp((89.66909548707658 - 88.63910363388719) / 2)
	assert.InDelta(t, ratio, weights["logistic"]/weights["stretched"], 1e-6)
	// The line and the exponential weigh nothing, so the two curves of the case
	// are what is averaged: Burnham and Anderson, Sociological Methods & Research 33
	// (2004) 261–304, equation 4.
	averaged := curve["averaged_time_to_threshold"].([]any)[0].(map[string]any)
	w := ratio / (ratio + 1)
	time := w*551.6345420005147 + (1-w)*546.1988351904183
	se := w*math.Hypot(7.519830924997459, 551.6345420005147-time) + (1-w)*math.Hypot(7.0204683423739835, 546.1988351904183-time)
	compare(t, "time", averaged["time"], time, tolerance{Rel: 1e-6})
	compare(t, "SE", averaged["se"], se, tolerance{Rel: 1e-5})
	assert.InDelta(t, 1, averaged["weight_crosses"], 1e-12)
	assert.Contains(t, must(t, args...), "All of them")
}

// TestCalcDecayCheck: the row of an odd reading, and a line through a curve.
func TestCalcDecayCheck(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(referenceFolder, "decay-curves", "field-one-vehicle.csv"))
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "f.csv")
	require.NoError(t, os.WriteFile(file, append([]byte("x,y,w\n400,100,1\n"), text[len("x,y,w\n"):]...), 0o644))
	for model, about := range map[string]string{"exponential": "outliers", "linear": "runs"} {
		args := []string{"calc", "decay", file, "--time", "x", "--value", "y", "--check", "--model", model}
		got := mustJSON(t, args...)
		checks := got["groups"].([]any)[0].(map[string]any)["residual_checks"].([]any)
		at := slices.IndexFunc(checks, func(c any) bool { return c.(map[string]any)["check"] == about })
		require.GreaterOrEqual(t, at, 0)
		check := checks[at].(map[string]any)
		assert.Less(t, check["p_value"], 0.01)
		assert.Equal(t, about == "outliers", check["row"] == 2.0)
		assert.Contains(t, must(t, args...), check["note"])
	}
}

// TestCalcDecayListsWhatIsNoAngle: each by row and column.
func TestCalcDecayListsWhatIsNoAngle(t *testing.T) {
	file := filepath.Join(t.TempDir(), "f.csv")
	require.NoError(t, os.WriteFile(file, []byte("t,y\n0,181\n1,100\n2,-3.5\n3,90\n"), 0o644))
	r := beadspan(t, "calc", "decay", file, "--time", "t", "--value", "y")
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, `row 2, y: "181": expected a contact angle`)
	assert.Contains(t, r.err, `row 4, y: "-3.5": expected a contact angle`)
	assert.Empty(t, r.out)
}
