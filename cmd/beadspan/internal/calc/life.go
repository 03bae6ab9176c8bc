package calc

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// ParseValues reads the values of a life to predict for, written as
// COLUMN=VALUE,COLUMN=VALUE.
func ParseValues(text string) ([]Condition, error) {
	var values []Condition
	for part := range strings.SplitSeq(text, ",") {
		value, err := ParseCondition(part)
		if err != nil {
			return nil, err
		}
		values = append(values, value)
	}
	return values, nil
}

// life is a life to predict for.
type life struct {
	values  map[string]any // of covariates and factors, as given
	strata  map[string]any // of the columns of strata
	x       []float64      // in the order of Covariates
	stratum int
}

// life turns values into a row of X and a stratum. All covariates, factors and
// columns of strata must have one, and nothing else may.
func (d *Data) life(values []Condition) (life, error) {
	l := life{values: map[string]any{}, strata: map[string]any{}}
	take := func(column string, into map[string]any) (text string, err error) {
		at := slices.IndexFunc(values, func(v Condition) bool { return v.Column == column })
		if at < 0 {
			return "", fmt.Errorf("predict: no value of %s: give one of every covariate, factor and stratum", column)
		}
		into[column] = asWritten(values[at].Value)
		return values[at].Value, nil
	}
	for _, column := range d.columns.Covariates {
		text, err := take(column, l.values)
		if err != nil {
			return life{}, err
		}
		x, ok := parseNumber(text)
		if !ok {
			return life{}, fmt.Errorf("predict: %s=%s: expected a number", column, text)
		}
		l.x = append(l.x, x)
	}
	for _, f := range d.factors {
		text, err := take(f.Columns[0], l.values)
		if err != nil {
			return life{}, err
		}
		level := slices.Index(f.Names, text)
		if level < 0 {
			return life{}, fmt.Errorf("predict: %s=%s: the file has %s", f.Columns[0], text, strings.Join(f.Names, ", "))
		}
		for i := 1; i < len(f.Names); i++ {
			l.x = append(l.x, indicator(i == level))
		}
	}
	if err := l.enter(d.Strata, take); err != nil {
		return life{}, err
	}
	known := maps.Clone(l.values) // a column can be a covariate and a stratum
	maps.Copy(known, l.strata)
	if len(known) != len(values) {
		return life{}, fmt.Errorf("predict: %s: each covariate, factor and stratum of the model has one value, and nothing else has",
			conditionsText(values))
	}
	return l, nil
}

// enter finds the stratum of the life.
func (l *life) enter(strata *Labels, take func(string, map[string]any) (string, error)) error {
	if strata == nil {
		return nil
	}
	var words []string
	for _, column := range strata.Columns {
		text, err := take(column, l.strata)
		if err != nil {
			return err
		}
		words = append(words, text)
	}
	name := strings.Join(words, ", ")
	if l.stratum = slices.Index(strata.Names, name); l.stratum < 0 {
		return fmt.Errorf("predict: no stratum %s: the file has %s", name, strings.Join(strata.Names, "; "))
	}
	return nil
}

// asWritten is a value as JSON has it: a number where it is one.
func asWritten(text string) any {
	if x, is := parseNumber(text); is {
		return Number(x)
	}
	return text
}

func indicator(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
