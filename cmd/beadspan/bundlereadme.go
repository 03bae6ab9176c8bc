package main

import (
	"fmt"
	"strings"

	"beadspan/reports"
)

// bundleReadme says in plain words what the bundle holds.
func (r *fullReport) bundleReadme() string {
	var b strings.Builder
	fmt.Fprintf(&b, `Study %s: how to work out every figure of its report again
%s

Report made %s by beadspan %s. Level %g, %d bootstrap replicates, seed %d.

What is here

  csv          the data: the tables coatings, sites, vehicles, patches, checkups (a
               row a reading) and care are a log as 'beadspan load' takes it; spans,
               amendments and rule_changes tell what follows from it and what was
               changed; dictionary.csv describes every column
  data.sha256  the sums of these files
  lives.csv    the lives that the statistics take: a row for each coated patch of
               which something is known. It still held after lower_days and was spent
               by upper_days (blank: not yet), counted from the day its service began;
               it was watched from entry_days on. vehicle_no tells the vehicles apart
  results      what the report says, at full precision; null is not estimable or not
               reached, and notes say why
  %s   runs all of this

The sum of the data that the report names, %s,
is that of the log's files one after the other, in the folder csv:

  cat %s | sha256sum

From lives.csv alone

Any program that knows Turnbull's estimate gives the shares and medians; the limits
need the same resamplings, which these commands repeat. calc counts in days, the report
in months of 30.4375 days.

`, r.Study.Code, oneLine(r.Study.Question), r.Options.Made, r.Options.Version, r.Options.Level, r.Options.BootstrapReplicates, r.Options.Seed,
		bundleScript, r.Options.Provenance.DataSHA256, strings.Join(reports.DataFiles(), " "))
	for _, run := range r.calcRuns() {
		fmt.Fprintf(&b, "  beadspan %s\n", quoted(run.args))
	}
	b.WriteString(`
  of calc turnbull, for each group     in results/life.json, life-by-climate.json
    n, clusters                          n_patches, n_vehicles
    quantile_interval left, right        median_life_after_months, median_life_by_months
      time_spread_evenly                 median_life_months
      ci                                 median_life_low_months, median_life_high_months
    survival_at 365.25, 730.5            share_holding_at_12_months, … 24_months
      survival_spread_evenly; ci         and _low, _high
  of calc km: quantiles estimate       visit_date_median_months
  of calc logrank: chisq, df, p_value  comparisons: chi_square, degrees_of_freedom, p_value

calc gives an estimate wherever there is one. The report leaves it out where it rests on
fewer than 5 spent patches or 3 vehicles with one, and where the first few of many that
enrolled late would decide everything. While no patch of a group was spent by a time,
its lower limit is what nobody failing in n vehicles allows, (1 - level)^(1/n), where
resampling has nothing to say; and where all were spent, it has no limits.

From the log

What calc doesn't repeat from one table: life by climate, pooled; the clocks and the
effects of coating jobs; the choice between curves of falling angles, and all that
follows from it; comparisons of coatings with their other readings of the records; claims.
The script loads csv into a database of its own and prints these again:

`)
	for _, run := range r.storedRuns() {
		fmt.Fprintf(&b, "  beadspan %s\n      is results/%s\n", quoted(run.args), run.into)
	}
	b.WriteString(`
results/report.json holds what is counted: where vehicles and patches went, the quality
of the data, what the rules decided. 'beadspan report' counts it again.

A figure is an estimate from these vehicles, never a warranty.
`)
	return b.String()
}
