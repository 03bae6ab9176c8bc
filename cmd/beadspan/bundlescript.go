package main

import (
	"fmt"
	"strconv"
	"strings"

	"beadspan/reports"
)

// bundleScript is the name of the script in the bundle.
const bundleScript = "reproduce.sh"

// bundleRun is a command that works out again what stands in the results.
type bundleRun struct {
	into string // file in the folder "again"
	args []string
}

// calcRuns work out the figures of life from lives.csv alone.
func (r *fullReport) calcRuns() []bundleRun {
	level, seed := strconv.FormatFloat(r.Options.Level, 'g', -1, 64), strconv.FormatUint(r.Options.Seed, 10)
	spans := []string{"--lower", "lower_days", "--upper", "upper_days", "--entry", "entry_days", "--cluster", "vehicle_no"}
	run := func(into, what string, args ...string) bundleRun {
		all := append([]string{"calc", what, livesFile}, args...)
		return bundleRun{into, append(all, "--json")}
	}
	turnbull := func(into, groups string) bundleRun {
		return run(into, "turnbull", append(spans[:len(spans):len(spans)], "--group", groups, "--quantiles", "0.5", "--at", "365.25,730.5",
			"--conf-level", level, "--replicates", strconv.Itoa(r.Options.BootstrapReplicates), "--seed", seed)...)
	}
	runs := []bundleRun{
		turnbull("calc-life.json", "coating"),
		turnbull("calc-life-by-climate.json", "coating,climate"),
		run("calc-visit-dates.json", "km", "--time", "visit_day", "--status", "spent", "--entry", "entry_days", "--group", "coating",
			"--quantiles", "0.5", "--conf-level", level),
	}
	compare := func(c reports.Comparison, into, groups string, where ...string) {
		all := append(spans[:len(spans):len(spans)], "--group", groups, "--replicates", strconv.Itoa(c.Relabellings), "--seed", seed)
		runs = append(runs, run(into, "logrank", append(all, where...)...))
	}
	for _, c := range r.Life.Comparisons {
		compare(c, "calc-coatings.json", "coating")
	}
	for _, c := range r.ByClimate.Comparisons {
		coating := strings.TrimPrefix(c.Of, "climates of ")
		compare(c, "calc-climates-of-"+strings.ReplaceAll(coating, "/", "--")+".json", "climate", "--where", "coating="+coating)
	}
	return runs
}

// storedRuns work out all results from the log, once it is loaded.
func (r *fullReport) storedRuns() []bundleRun {
	o, compared := r.Options, r.comparisonOptions()
	settings := func(replicates int) []string {
		return []string{"--level", strconv.FormatFloat(o.Level, 'g', -1, 64), "--replicates", strconv.Itoa(replicates), "--seed", strconv.FormatUint(o.Seed, 10)}
	}
	run := func(name string, args ...string) bundleRun { return bundleRun{name + ".json", append(args, "--json")} }
	usual := settings(o.BootstrapReplicates)
	return []bundleRun{
		run("life", append([]string{"life"}, usual...)...),
		run("life-by-climate", append([]string{"life", "--by", "coating,climate"}, usual...)...),
		run("climate", append([]string{"climate"}, usual[:2]...)...),
		run("decay", append([]string{"decay", "--on", "9999-12-31"}, usual...)...),
		run("compare", append([]string{"compare"}, settings(compared.BootstrapReplicates)...)...),
		run("claim", append([]string{"claim"}, usual[2:]...)...),
	}
}

// studyRun sets the study up again.
func (r *fullReport) studyRun() []string {
	st := r.Study
	p, number := st.Protocol, func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	args := []string{"study", "add", st.Code, "--metric", string(p.Metric), "--threshold", number(p.Threshold), "--confirm", strconv.Itoa(p.Confirm),
		"--estimand", string(p.Estimand), "--claim-low-pct", number(p.Claim.LowPct), "--claim-high-pct", number(p.Claim.HighPct),
		"--claim-confidence-pct", number(p.Claim.ConfidencePct)}
	if st.Question != "" {
		args = append(args, "--question", st.Question)
	}
	return args
}

// bundleCommands is the script.
func (r *fullReport) bundleCommands() string {
	var b strings.Builder
	fmt.Fprintf(&b, `#!/bin/sh
# Works the figures of study %s out again and compares them with those in results.
# It needs beadspan %s, and writes to the folder "again". Run it where it lies:
#   sh %s
# BEADSPAN names the program where it isn't in the path.
set -eu
beadspan=${BEADSPAN:-beadspan}
unset BEADSPAN_DATABASE_URL BEADSPAN_DATA_DIR
mkdir -p again

echo "The data are those of the report:"
sha256sum -c data.sha256

echo "Lives, from %s alone; README.txt says which field is which:"
`, oneLine(r.Study.Code), r.Options.Version, bundleScript, livesFile)
	for _, run := range r.calcRuns() {
		fmt.Fprintf(&b, "\"$beadspan\" %s >again/%s\n", quoted(run.args), run.into)
	}
	b.WriteString(`
echo "Everything, from the log:"
trap '"$beadspan" db stop "--data-dir=$PWD/again/database" >again/stop.txt 2>&1 || true' EXIT
`)
	const there = ` "--data-dir=$PWD/again/database"`
	fmt.Fprintf(&b, "\"$beadspan\" %s%s\n", quoted(r.studyRun()), there)
	fmt.Fprintf(&b, "\"$beadspan\" load csv%s\n", there)
	for _, run := range r.storedRuns() {
		fmt.Fprintf(&b, "\"$beadspan\" %s%s >again/%s\ncmp results/%s again/%s\n", quoted(run.args), there, run.into, run.into, run.into)
	}
	b.WriteString("echo \"All results are the same, to the last digit.\"\n")
	return b.String()
}

// quoted writes arguments for a shell.
func quoted(args []string) string {
	words := make([]string, len(args))
	for i, arg := range args {
		words[i] = arg
		if arg == "" || strings.ContainsFunc(arg, func(r rune) bool {
			return !('a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9' || strings.ContainsRune("-_.,=/", r))
		}) {
			words[i] = "'" + strings.ReplaceAll(arg, "'", `'\''`) + "'"
		}
	}
	return strings.Join(words, " ")
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
