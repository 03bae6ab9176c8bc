package web

import (
	"net/url"
	"strings"

	"beadspan/cmd/beadspan/internal/siting"
	"beadspan/study"
	"beadspan/study/climate"
)

// fields reads what was typed into a form, and gathers what is wrong with it.
type fields struct {
	form     url.Values
	problems study.Problems
}

// typed is what stands in a field.
func (f *fields) typed(name string) string { return strings.TrimSpace(f.form.Get(name)) }

// number is the number in a field; nil where nothing was typed.
func (f *fields) number(name string) *float64 {
	text := f.typed(name)
	if text == "" {
		return nil
	}
	x, err := siting.Decimal(text)
	if err != nil {
		f.problem(name, "expected a number, or nothing where it isn't known")
		return nil
	}
	return &x
}

// twelve is the number of each month in a field; nil where nothing was typed.
func (f *fields) twelve(name string) *climate.Monthly {
	text := f.typed(name)
	if text == "" {
		return nil
	}
	months, err := siting.Twelve(text)
	if err != nil {
		f.problem(name, err.Error())
	}
	return months
}

// oneOrTwelve is the number of the year in a field, or that of each month.
func (f *fields) oneOrTwelve(name string) (year *float64, months *climate.Monthly) {
	text := f.typed(name)
	if text == "" {
		return nil, nil
	}
	year, months, err := siting.OneOrTwelve(text)
	if err != nil {
		f.problem(name, err.Error())
	}
	return year, months
}

func (f *fields) problem(name, want string) {
	f.problems = append(f.problems, study.Problem{Column: name, Got: study.Shortened(f.typed(name)), Want: want})
}
