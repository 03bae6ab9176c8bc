package calc

import (
	"math"
	"strconv"
	"strings"
)

// Number is a number of a result as JSON has it: at full precision, null where
// there is none (NaN), "Inf" and "-Inf" for the infinities.
type Number float64

// MarshalJSON writes the number.
func (n Number) MarshalJSON() ([]byte, error) { return n.appendTo(nil), nil }

func (n Number) appendTo(text []byte) []byte {
	x := float64(n)
	switch {
	case math.IsNaN(x):
		return append(text, "null"...)
	case math.IsInf(x, 1):
		return append(text, `"Inf"`...)
	case math.IsInf(x, -1):
		return append(text, `"-Inf"`...)
	}
	return strconv.AppendFloat(text, x, 'g', -1, 64)
}

// Numbers is a list of numbers of a result. A curve can have a million: they
// are written at one go.
type Numbers []Number

// MarshalJSON writes the list; one that isn't there as null.
func (list Numbers) MarshalJSON() ([]byte, error) {
	if list == nil {
		return []byte("null"), nil
	}
	text := append(make([]byte, 0, 20*len(list)+2), '[')
	for i, n := range list {
		if i > 0 {
			text = append(text, ',')
		}
		text = n.appendTo(text)
	}
	return append(text, ']'), nil
}

// numbers makes a Number of each element of a slice.
func numbers[T any](of []T, pick func(T) float64) Numbers {
	picked := make(Numbers, len(of))
	for i, x := range of {
		picked[i] = Number(pick(x))
	}
	return picked
}

// unknown is a list of n numbers that can't be told.
func unknown(n int) Numbers {
	return numbers(make([]struct{}, n), func(struct{}) float64 { return math.NaN() })
}

func unknownMatrix(n int) []Numbers {
	m := make([]Numbers, n)
	for i := range m {
		m[i] = unknown(n)
	}
	return m
}

func plain(of []float64) Numbers { return numbers(of, func(x float64) float64 { return x }) }

func matrix(rows [][]float64) []Numbers {
	m := make([]Numbers, len(rows))
	for i, row := range rows {
		m[i] = plain(row)
	}
	return m
}

// orNaN is NaN, null in JSON, in place of a time that was not reached.
func orNaN(t float64) float64 {
	if math.IsInf(t, 1) {
		return math.NaN()
	}
	return t
}

// parseNumber reads a number with a decimal point. It refuses what strconv
// takes beyond that: hexadecimal, underscores, "inf" and "nan".
func parseNumber(text string) (x float64, ok bool) {
	if strings.Trim(text, "0123456789+-.eE") != "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil
}
