package survival

import "math"

// RankPoint is what all groups of a stratum together show at a time at which
// lives end.
type RankPoint struct {
	Time     float64
	AtRisk   float64 // lives watched and holding just before Time
	Events   float64 // lives that end at Time
	Before   float64 // Ŝ just before Time: ∏ (1 − d/n) over earlier times
	Modified float64 // ∏ (1 − d/(n + 1)) over times up to and including Time
}

// RankWeight says how much the ends at one time count in a rank test. A test
// with weights that fall over time looks at early differences, one with
// weights that rise at late ones; which to use must be settled before the data
// are seen.
type RankWeight func(RankPoint) float64

// RhoGamma weighs by Fleming and Harrington's Ŝ(t−)^ρ (1 − Ŝ(t−))^γ. ρ = γ = 0 is the log-rank
// test, ρ = 1, γ = 0 (the Peto–Peto form) looks at early differences, ρ = 0, γ =
// 1 at late ones. ρ and γ must be 0 or more; it panics otherwise.
//
// Source: Fleming and Harrington, Counting Processes and Survival Analysis
// (1991), chapter 7 (chapter from memory).
func RhoGamma(ρ, γ float64) RankWeight {
	if !(ρ >= 0 && γ >= 0) {
		panic("survival: exponents of Fleming-Harrington weights must be 0 or more")
	}
	return func(p RankPoint) float64 {
		return math.Pow(p.Before, ρ) * math.Pow(1-p.Before, γ)
	}
}

// Gehan weighs by n, the lives at risk: Gehan's and Breslow's extension of the
// Wilcoxon test. The weights depend on censoring as well as on lives.
//
// Source: Gehan, Biometrika 52 (1965) 203–223; Breslow, Biometrika 57 (1970)
// 579–594.
func Gehan(p RankPoint) float64 { return p.AtRisk }

// TaroneWare weighs by √n, between Gehan and the log-rank test.
//
// Source: Tarone and Ware, Biometrika 64 (1977) 156–160.
func TaroneWare(p RankPoint) float64 { return math.Sqrt(p.AtRisk) }

// PetoModified weighs by an estimate of survival close to Ŝ that never reaches
// 0, ∏ (1 − d/(n + 1)).
//
// Source: Peto and Peto, J. R. Stat. Soc. A 135 (1972) 185–207; in this form
// Klein and Moeschberger, Survival Analysis (1997), chapter 7 (from memory).
func PetoModified(p RankPoint) float64 { return p.Modified }

// PetoAndersen weighs by that of PetoModified times n/(n + 1).
//
// Source: Andersen, Borgan, Gill and Keiding, Int. Stat. Rev. 50 (1982) 219–258.
func PetoAndersen(p RankPoint) float64 { return p.Modified * p.AtRisk / (p.AtRisk + 1) }
