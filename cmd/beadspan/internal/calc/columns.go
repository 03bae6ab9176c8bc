package calc

import "slices"

// Columns says which columns of a file mean what. An empty name is a column
// that the file doesn't have or the method doesn't need.
type Columns struct {
	Time, Status string // when last seen; 1 if the life ended then, 0 if it still held
	Value        string // or, with Time, what was read then: rows are readings, not lives
	Lower, Upper string // or the interval (lower, upper] in which it ended; blank is open
	Entry        string // since when it was watched
	Weight       string // how many lives, or readings, a row stands for
	Cluster      string // what lives share their circumstances by

	Groups     []string // compared, or estimated apart
	Strata     []string // within which lives are compared
	Covariates []string // numbers
	Factors    []string // words: one column of zeros and ones for each but the first

	Where []Condition // which rows are taken; all of them if empty
}

// numbers are the columns that say when lives ended, or what was read when.
func (c Columns) numbers() []string {
	return named(c.Time, c.Status, c.Value, c.Lower, c.Upper, c.Entry, c.Weight)
}

// row says what a row is.
func (c Columns) row() string {
	if c.Value != "" {
		return "reading"
	}
	return "life"
}

// labels are the columns of words.
func (c Columns) labels() []string {
	return slices.Concat(c.Groups, c.Strata, named(c.Cluster), c.Factors)
}

// all lists every column that is read.
func (c Columns) all() []string {
	all := slices.Concat(c.numbers(), c.labels(), c.Covariates)
	for _, condition := range c.Where {
		all = append(all, condition.Column)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func named(names ...string) []string {
	return slices.DeleteFunc(names, func(name string) bool { return name == "" })
}
