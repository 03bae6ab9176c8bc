package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCalcHelpExamples runs the examples of the help, and holds the fields that
// come out as JSON against those that the help explains.
func TestCalcHelpExamples(t *testing.T) {
	t.Chdir("../..") // the examples are meant for the top of the repository
	general := must(t, "calc", "--help")
	assert.NotEmpty(t, examples(general))
	for _, command := range []string{"km", "turnbull", "logrank", "cox", "aft", "decay", "mixed"} {
		help := must(t, "calc", command, "--help")
		assert.NotEmpty(t, examples(help), command)
		for _, example := range append(examples(help), examples(general)...) {
			if example[1] != command {
				continue
			}
			args := slices.DeleteFunc(slices.Clone(example), func(word string) bool { return word == "--json" })
			assert.NotEmpty(t, must(t, args...), example)
			found := mustJSON(t, args...)
			for _, field := range fieldNames(found) {
				explained := regexp.MustCompile(`\b` + field + `\b`).MatchString(general + help)
				assert.True(t, explained, "%v: the help doesn't explain %s", example, field)
			}
		}
	}
}

// examples lists the commands that a help shows, by word.
func examples(help string) (examples [][]string) {
	for line := range strings.Lines(help) {
		words := strings.Fields(line)
		if len(words) > 3 && words[0] == "beadspan" && strings.Contains(words[3], "testdata/") {
			examples = append(examples, words[1:])
		}
	}
	return examples
}

// fieldNames lists the names of a result's fields, without those that are
// columns of the file.
func fieldNames(value any) (names []string) {
	switch value := value.(type) {
	case map[string]any:
		for name, inner := range value {
			names = append(names, name)
			if name != "x" && name != "strata" {
				names = append(names, fieldNames(inner)...)
			}
		}
	case []any:
		if len(value) > 0 {
			names = fieldNames(value[0])
		}
	}
	return names
}

func TestCalcWrongUsage(t *testing.T) {
	file := filepath.Join(referenceFolder, "kaplan-meier", "aml.csv")
	for _, c := range []struct {
		command string
		says    string
	}{
		{"km", "--time and --status"},
		{"km --time time", "--time and --status"},
		{"km --time time --status status --conf-level 95", "between 0 and 1"},
		{"km --time time --status status --quantiles 50", "between 0 and 1"},
		{"km --time time --status status --at=-1", "0 or more"},
		{"km --time time --status status --conf-type wide", "must be one of"},
		{"km --time time --status status --where group", "COLUMN=VALUE"},
		{"turnbull --lower time", "go together"},
		{"turnbull --lower time --upper time --time time", "not with both"},
		{"turnbull --time time --status status --replicates=-1", "0 or more"},
		{"logrank --time time --status status", "--group"},
		{"logrank --time time --status status --group group --rank-weight heavy", "no rank weight"},
		{"logrank --time time --status status --group group --trend-score 1", "1 scores for 2 groups"},
		{"logrank --time time --status status --group group --trend-score 1,nan", "finite"},
		{"logrank --lower time --upper time --group group --rank-weight gehan", "--rank-weight goes with"},
		{"logrank --time time --status status --group group --cluster group --trend", "--cluster goes with neither"},
		{"cox --time time --status status --predict age", "COLUMN=VALUE"},
		{"cox --time time --status status --ties late", "must be one of"},
		{"aft --time time --status status --horizon 0", "above 0"},
		{"aft --time time --status status --random group --profile", "--random goes with"},
		{"decay --time time", "--value"},
		{"decay --time time --value status --robust some", "must be one of"},
		{"decay --time time --value status --profile --robust huber", "--profile goes with neither"},
		{"decay --time time --value status --model auto --robust huber", "--model auto goes with neither"},
		{"decay --time time --value status --floor 200", "0 to less than 180"},
		{"decay --time time --value status --threshold 200", "0 to 180"},
		{"decay --time time --value status --hold tau=3", "--hold goes with --start"},
		{"decay --time time --value status --start tau=3", "floor is missing"},
		{"decay --time time --value status --start tau=3,floor=1,k=2", "no parameter \"k\""},
		{"decay --time time --value status --start tau=3,floor=1,start=2 --threshold 90", "without --threshold"},
		{"mixed --time time --value status", "--group"},
		{"mixed --time time --value status --group group --criterion reml", "goes with --model linear"},
		{"mixed --time time --value status --group group --model linear --criterion reml --at 3", "goes with none of"},
		{"mixed --time time --value status --group group --random-within tau", "--group vehicle,patch"},
		{"mixed --time time --value status --group group --nodes 9 --random start,tau", "single random effect"},
		{"mixed --time time --value status --group group --model quadratic", "must be one of"},
		{"mixed --time time --value status --group group --floor 50 --hold floor=60", "held by --floor and by --hold"},
		{"mixed --time time --value status --group group --threshold Inf", "finite"},
		{"mixed --time time --value status --group group --start tau", "expected"},
		{"mixed --time time --value status --group group --random mid", "no parameter \"mid\": the exponential curve has floor, start, tau"},
		{"mixed --time time --value status --group group --hold tau=3", "tau is held"},
		{"mixed --time time --value status --group group --start k=3", "no parameter \"k\""},
	} {
		words := strings.Fields(c.command)
		r := beadspan(t, append([]string{"calc", words[0], file}, words[1:]...)...)
		assert.Equal(t, exitUsage, r.code, c.command)
		assert.Contains(t, r.err, c.says, c.command)
		assert.Empty(t, r.out, c.command)
	}
}

// TestCalcBadInput: what is wrong goes to stderr by row, nothing to stdout.
func TestCalcBadInput(t *testing.T) {
	file := filepath.Join(t.TempDir(), "bad.csv")
	require.NoError(t, os.WriteFile(file, []byte("time,status\nx,1\n2,7\n"), 0o644))
	r := beadspan(t, "calc", "km", file, "--time", "time", "--status", "status", "--json")
	assert.Equal(t, result{code: exitFailed, err: file + `, row 2, time: "x": expected a time, 0 or more, with a decimal point, or nothing
` + file + `, row 3, status: "7": expected 1 (it ended then) or 0 (it still held)
beadspan: calc: nothing was computed. Put right what is listed above
`}, r)

	r = beadspan(t, "calc", "km", file+".gone", "--time", "time", "--status", "status")
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, "no such file")
}

// TestCalcRefusedByTheMethod: what only a method can see is told by row too.
func TestCalcRefusedByTheMethod(t *testing.T) {
	file := filepath.Join(t.TempDir(), "f.csv")
	require.NoError(t, os.WriteFile(file, []byte("time,status,w,g\n1,1,1,a\n0,1,1,b\n3,1,0.5,b\n"), 0o644))
	for command, says := range map[string]string{
		"aft":                                            "row 3: an end at time 0",
		"logrank --group g --weight w":                   "row 4: ",
		"logrank --group g --weight w --lower l":         "not with both",
		"cox --factor g --predict g=c":                   "the file has a, b",
		"logrank --group g --where g=a":                  "must be two or more",
		"km --group g --weight w --tau 0":                "above 0",
		"turnbull --group g --conf-level 0.999 --seed 2": "too few replicates",
	} {
		words := strings.Fields(command)
		r := beadspan(t, append([]string{"calc", words[0], file, "--time", "time", "--status", "status"}, words[1:]...)...)
		assert.NotZero(t, r.code, command)
		assert.Contains(t, r.err, says, command)
	}
}

func TestCalcReadsStandardInput(t *testing.T) {
	file := filepath.Join(referenceFolder, "kaplan-meier", "aml.csv")
	options := []string{"--time", "time", "--status", "status", "--group", "group"}
	cmd := program(t.Context(), append([]string{"calc", "km", "-"}, options...)...)
	var err error
	cmd.Stdin, err = os.Open(file)
	require.NoError(t, err)
	out, err := cmd.Output()
	require.NoError(t, err)
	assert.Equal(t, must(t, append([]string{"calc", "km", file}, options...)...), string(out))
}

// TestCalcFactors: a column of words gives the coefficients that the reference
// has for the same groups as zeros and ones. There, 1 is 6-MP in cox/leukemia-6mp
// (treated), here placebo; in aft/cosmesis-interval it is radiation+chemo (chemo).
func TestCalcFactors(t *testing.T) {
	for _, c := range []struct {
		reference, check, command string
		sign                      float64
		place                     int
	}{
		{"cox/leukemia-6mp", "treated-efron",
			"cox ../../testdata/reference/kaplan-meier/leukemia-6mp.csv --time time --status status --factor group", -1, 0},
		{"aft/cosmesis-interval", "chemo-weibull",
			"aft ../../testdata/reference/npmle/cosmesis.csv --lower left --upper right --factor group", 1, 1},
	} {
		text, err := os.ReadFile(filepath.Join(referenceFolder, c.reference+".json"))
		require.NoError(t, err)
		var reference referenceCase
		require.NoError(t, json.Unmarshal(text, &reference))
		at := slices.IndexFunc(reference.Checks, func(check referenceCheck) bool { return check.ID == c.check })
		require.GreaterOrEqual(t, at, 0)
		want := reference.Checks[at].list("coef")[c.place].(float64)

		got := mustJSON(t, append([]string{"calc"}, strings.Fields(c.command)...)...)
		compare(t, "coef", got["coef"].([]any)[c.place], c.sign*want, reference.Tolerance)
	}
}

// TestCalcInReadme runs what the README shows on a file such as it speaks of.
func TestCalcInReadme(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	var lives strings.Builder
	lives.WriteString("vehicle,coating,climate,layers,days,ended,held,spent\n")
	random := rand.New(rand.NewPCG(1, 2))
	for i := range 120 {
		coating := []string{"K-20", "M-5"}[i%2]
		days := 100 + random.IntN(600)
		ended, spent := 1, fmt.Sprint(days+random.IntN(60)+1)
		if i%5 == 0 {
			ended, spent = 0, ""
		}
		climate := []string{"Cfb", "Dfb", "BWh"}[random.IntN(3)]
		fmt.Fprintf(&lives, "V-%d,%s,%s,%d,%d,%d,%d,%s\n", i/2, coating, climate, 1+random.IntN(3), days, ended, days, spent)
	}
	require.NoError(t, os.WriteFile("lives.csv", []byte(lives.String()), 0o644))
	var readings strings.Builder
	readings.WriteString("vehicle,patch,coating,days,angle\n")
	for i := range 160 {
		patch, days := i/8, 60*(i%8)
		angle := 60 + 50*math.Exp(-float64(days)/(120+10*float64(patch))) + random.NormFloat64()
		fmt.Fprintf(&readings, "V-%d,P-%d,%s,%d,%.1f\n", patch/2, patch, []string{"K-20", "M-5"}[patch%2], days, angle)
	}
	require.NoError(t, os.WriteFile("readings.csv", []byte(readings.String()), 0o644))

	run := map[string]bool{}
	for line := range strings.Lines(string(readme)) {
		line, _, _ = strings.Cut(line, "#")
		words := strings.Fields(line)
		if len(words) > 3 && words[0] == "beadspan" && words[1] == "calc" && slices.Contains([]string{"lives.csv", "readings.csv"}, words[3]) {
			assert.NotContains(t, must(t, words[1:]...), "not estimable")
			run[words[2]] = true
		}
	}
	assert.Len(t, run, 7, "an example of each calculation")
}
