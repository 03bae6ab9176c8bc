package reports

import (
	"fmt"
	"math"
	"strings"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

// notReached is written where a median or a limit lies beyond what was seen.
const notReached = "not reached"

// months writes a time in months to a tenth.
func months(m float64) string {
	if math.IsInf(m, 1) {
		return notReached
	}
	return fmt.Sprintf("%.1f", m)
}

// percent writes a share as a whole percentage.
func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// degrees writes an angle, to a tenth of a degree where it isn't whole.
func degrees(angle float64) string {
	return strings.TrimSuffix(strings.TrimSuffix(tenths(angle), "°"), ".0") + "°"
}

// tenths writes an angle to a tenth of a degree, for columns.
func tenths(angle float64) string { return fmt.Sprintf("%.1f°", angle) }

// monthLimits writes limits in months: "11.9–16.8", "19.2 or more".
func monthLimits(l Limits) string {
	switch {
	case math.IsInf(l.Low, 1):
		return notReached
	case math.IsInf(l.High, 1):
		return months(l.Low) + " or more"
	}
	return months(l.Low) + "–" + months(l.High)
}

// percentLimits writes limits of a share: "51–72 %".
func percentLimits(l Limits) string { return fmt.Sprintf("%.0f–%s", 100*l.Low, percent(l.High)) }

// confidence writes a level: "95 %".
func confidence(level float64) string { return fmt.Sprintf("%.4g %%", 100*level) }

// number writes a count with its thousands apart: "320,114".
func number(n int) string { return message.NewPrinter(language.English).Sprint(n) }

// count writes a number with its noun: "1 patch", "3 patches".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return number(n) + " " + many
}

func patches(n int) string  { return count(n, "patch", "patches") }
func vehicles(n int) string { return count(n, "vehicle", "vehicles") }

// listed joins words: "A, B and C".
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
