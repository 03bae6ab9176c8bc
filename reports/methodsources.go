package reports

import (
	"fmt"

	"beadspan/study/climate"
)

// methodSource is a method, how it was set, and where it is described.
type methodSource struct{ method, settings, source string }

// methodSources lists the methods behind the report's figures.
func (r *Report) methodSources() []methodSource {
	o := r.Options
	level := confidence(o.Level)
	return []methodSource{
		{"Share that still holds, and median life", "lives known to intervals (lower, upper], delayed entry; Kuhn–Tucker conditions met to 1e-8",
			"Turnbull, J. R. Stat. Soc. B 38 (1976) 290–295; Frydman, J. R. Stat. Soc. B 56 (1994) 71–74; Gentleman and Geyer, Biometrika 81 (1994) 618–623"},
		{"Limits of these", fmt.Sprintf("bootstrap over whole vehicles; %d replicates, seed %d, level %s, percentiles expanded by Student’s t; from 2,000 vehicles on from bags of 500", o.BootstrapReplicates, o.Seed, level),
			"Efron, Ann. Stat. 7 (1979) 1–26; Davison and Hinkley, Bootstrap Methods and their Application (1997); Hesterberg, Am. Stat. 69 (2015) 371–386; Kleiner and others, J. R. Stat. Soc. B 76 (2014) 795–816"},
		{"Least share that holds while nobody failed", fmt.Sprintf("one-sided, %.3g^(1/n) for n vehicles", 1-o.Level), "Clopper and Pearson, Biometrika 26 (1934) 404–413"},
		{"Median if visits were taken for ends", "shown as a mistake, never used", "Kaplan and Meier, J. Am. Stat. Assoc. 53 (1958) 457–481"},
		{"Tests of whether groups differ", fmt.Sprintf("log-rank scores for interval-censored lives; %s random relabellings of vehicles, or within them, seed %d; by the distribution for many vehicles above %s",
			number(relabellings), o.Seed, number(manyVehicles)),
			"Fay and Shaw, J. Stat. Softw. 36(2) (2010); Jung and Jeong, Lifetime Data Anal. 9 (2003) 21–33; Gail and others, Stat. Med. 15 (1996) 1069–1092"},
		{"Accelerated failure time models: clocks, job, life by climate", "law by least AIC of four; errors by vehicle (one-step jackknife); level " + level,
			"Lawless, Statistical Models and Methods for Lifetime Data (2nd ed. 2003); Lipsitz, Dear and Zhao, Biometrics 50 (1994) 842–846"},
		{"Which clock fits better", "difference in log-likelihood, summed over vehicles", "Vuong, Econometrica 57 (1989) 307–333"},
		{"Adjustment for many comparisons", "Holm’s", "Holm, Scand. J. Stat. 6 (1979) 65–70"},
		{"Pooling over climates", "random effects by restricted maximum likelihood, averaged over what they may be",
			"Patterson and Thompson, Biometrika 58 (1971) 545–554; Viechtbauer, J. Educ. Behav. Stat. 30 (2005) 261–293; Higgins, Thompson and Spiegelhalter, J. R. Stat. Soc. A 172 (2009) 137–159"},
		{"Curves of falling angles", fmt.Sprintf("non-linear mixed model, effects of vehicles and patches, Laplace’s approximation; limits of life by draws of the parameters, seed %d", o.Seed),
			"Lindstrom and Bates, Biometrics 46 (1990) 673–687; Pinheiro and Bates, J. Comput. Graph. Stat. 4 (1995) 12–35; Krinsky and Robb, Rev. Econ. Stat. 68 (1986) 715–719"},
		{"Choice between models", "AIC", "Burnham and Anderson, Model Selection and Multimodel Inference (2nd ed. 2002)"},
		{"Scatter of drops and readings", "mean square within readings", "Bland and Altman, BMJ 313 (1996) 744"},
		{"Climate classes", "Köppen-Geiger", "Peel, Finlayson and McMahon, Hydrol. Earth Syst. Sci. 11 (2007) 1633–1644; Beck and others, Scientific Data 10 (2023) 724"},
		{"Sun on panels", "monthly means, split into direct and diffuse", "FAO Irrigation and Drainage Paper 56 (1998); Liu and Jordan, Solar Energy 7 (1963) 53–74; Erbs, Klein and Duffie, Solar Energy 28 (1982) 293–302"},
	}
}

// referenceSection tells where the methods are described, and how they were set.
func (r *Report) referenceSection() Section {
	s := Section{Name: "references", Heading: "Methods, settings and sources"}
	t := Table{Caption: "What was worked out, how, and where it is described", Head: []string{"Method", "Settings", "Source"}}
	for _, ref := range r.methodSources() {
		t.add(ref.method, ref.settings, ref.source)
	}
	s.Show(t)
	s.Explain(climate.Credits()...)
	return s
}
