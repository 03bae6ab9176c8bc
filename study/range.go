package study

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// A code is what people write on a label: it must survive a spreadsheet, a
// file name and a shout across the bay.
var codePattern = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}._/-]{0,39}$`)

func (ps *Problems) code(column, code string) {
	if !codePattern.MatchString(code) {
		ps.add(column, code, "expected a code of 1 to 40 letters, digits and . _ / - without spaces, starting with a letter or digit")
	}
}

// within adds a problem unless value is missing or lies in [low, high]. The
// comparison is written so that NaN fails it.
func (ps *Problems) within(column string, value *float64, low, high float64, unit string) {
	if value != nil && !(low <= *value && *value <= high) {
		ps.add(column, number(*value), fmt.Sprintf("expected %s to %s %s", number(low), number(high), unit))
	}
}

func oneOf[T ~string](ps *Problems, column string, value T, allowed []T) {
	if slices.Contains(allowed, value) {
		return
	}
	words := make([]string, len(allowed))
	for i, a := range allowed {
		words[i] = string(a)
	}
	ps.add(column, string(value), "expected one of "+strings.Join(words, ", "))
}

func number(x float64) string {
	return strconv.FormatFloat(x, 'f', -1, 64)
}
