package siting

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"beadspan/study/climate"
)

// Numbers reads numbers with spaces, semicolons or commas between them, as
// people copy them from a table. A comma within a number that spaces or
// semicolons part from the next is a decimal one.
func Numbers(text string) (numbers []float64, err error) {
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t\r\n;", r) })
	if len(words) == 1 {
		words = strings.Split(text, ",")
	}
	for _, word := range words {
		x, err := Decimal(strings.TrimSuffix(strings.TrimSpace(word), ","))
		if err != nil {
			return nil, err
		}
		numbers = append(numbers, x)
	}
	return numbers, nil
}

// Twelve reads a number for each month, January first.
func Twelve(text string) (*climate.Monthly, error) {
	numbers, err := Numbers(text)
	if err != nil {
		return nil, err
	}
	if len(numbers) != 12 {
		return nil, fmt.Errorf("expected twelve numbers, January first, not %d", len(numbers))
	}
	return climate.MonthlyOf(numbers), nil
}

// OneOrTwelve reads a number for the year or one for each month; the other
// result is nil.
func OneOrTwelve(text string) (year *float64, months *climate.Monthly, err error) {
	numbers, err := Numbers(text)
	switch {
	case err != nil:
		return nil, nil, err
	case len(numbers) == 1:
		return &numbers[0], nil, nil
	case len(numbers) == 12:
		return nil, climate.MonthlyOf(numbers), nil
	}
	return nil, nil, fmt.Errorf("expected one number for the year or twelve, January first, not %d", len(numbers))
}

// Decimal reads a number with a decimal point or comma.
func Decimal(word string) (float64, error) {
	x, err := strconv.ParseFloat(strings.Replace(word, ",", ".", 1), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%q is not a number", word)
	}
	return x, nil
}
