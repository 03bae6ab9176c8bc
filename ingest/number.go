package ingest

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"beadspan/study"
)

// parseNumber reads a number with a decimal point or a decimal comma. It
// refuses whatever could hold a thousands separator: two marks, spaces,
// apostrophes. A percent sign may follow where the unit is %.
func parseNumber(text, unit string) (x float64, want string) {
	plain := text
	if unit == "%" {
		plain = strings.TrimSpace(strings.TrimSuffix(plain, "%"))
	}
	plain = strings.Replace(plain, "−", "-", 1) // U+2212, which spreadsheets like
	x, err := strconv.ParseFloat(strings.Replace(plain, ",", ".", 1), 64)
	if err != nil || !numberPattern(plain) {
		return 0, "expected a number" + inUnit(unit) + thousandsHint(plain) + "; leave the cell blank if nobody knows"
	}
	return x, ""
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " (" + unit + ")"
}

func thousandsHint(text string) string {
	if strings.Count(text, ",")+strings.Count(text, ".") > 1 || strings.ContainsAny(text, " \u00a0\u202f'’") {
		return " without a thousands separator"
	}
	return ""
}

// numberPattern reports whether text holds only what a decimal number may
// hold, since strconv takes more: hexadecimal, "inf", underscores.
func numberPattern(text string) bool {
	return strings.Trim(text, "0123456789+-.,eE") == ""
}

var thousands = regexp.MustCompile(`^[-+−]?[1-9][0-9]{0,2}[.,][0-9]{3}$`)

// looksLikeThousands reports whether text, as it stands, is a number to some
// people and a thousand times that number to others.
func looksLikeThousands(text string) bool {
	return thousands.MatchString(text)
}

func parseWhole(text string) (n int, want string) {
	x, want := parseNumber(text, "")
	if want != "" || x != math.Trunc(x) || math.Abs(x) > math.MaxInt32 {
		return 0, "expected a whole number; leave the cell blank if nobody knows"
	}
	return int(x), ""
}

func parseTwelve(text, unit string) (numbers []float64, want string) {
	words := strings.Fields(text)
	if len(words) != 12 {
		return nil, fmt.Sprintf("expected twelve numbers with spaces between them, January first, not %d", len(words))
	}
	for _, word := range words {
		x, want := parseNumber(word, unit)
		if want != "" {
			return nil, fmt.Sprintf("%q is not a number: expected twelve numbers%s with spaces between them", study.Shortened(word), inUnit(unit))
		}
		numbers = append(numbers, x)
	}
	return numbers, ""
}

// formatNumber writes the shortest decimal that reads back as x.
func formatNumber(x float64) string {
	return strconv.FormatFloat(x, 'f', -1, 64)
}
