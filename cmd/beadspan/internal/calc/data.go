package calc

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"beadspan/stats/decay"
	"beadspan/stats/survival"
)

// Data is what a file says, ready to be computed from.
type Data struct {
	Source
	Spans  []survival.Span // of a file of lives
	Points []decay.Point   // of a file of readings
	Lines  []int           // of each span or point, its row in the file
	Groups *Labels         // nil where no such columns were asked for
	Strata *Labels

	Covariates []string  // names of the columns of X
	X          []float64 // a row for each span or point

	columns Columns
	numbers []float64 // covariates of the row being read
	cluster *Labels
	factors []*Labels
	labels  []*Labels // all of them
}

// Source says in every result what it was computed from.
type Source struct {
	File    string   `json:"file"`
	Rows    int      `json:"rows"`          // computed from
	LeftOut int      `json:"rows_left_out"` // for a blank, or a weight of 0
	Notes   []string `json:"notes"`
}

func newData(file string, columns Columns) *Data {
	d := &Data{
		Source:  Source{File: file, Notes: []string{}},
		Groups:  newLabels(columns.Groups),
		Strata:  newLabels(columns.Strata),
		cluster: newLabels(named(columns.Cluster)),
		columns: columns,
	}
	for _, factor := range columns.Factors {
		d.factors = append(d.factors, newLabels([]string{factor}))
	}
	for _, labels := range slices.Concat([]*Labels{d.Groups, d.Strata, d.cluster}, d.factors) {
		if labels != nil {
			d.labels = append(d.labels, labels)
		}
	}
	return d
}

// add takes a row that nothing is wrong with, whose span or point was taken.
func (d *Data) add(row int, cell func(column string) string) {
	d.Lines = append(d.Lines, row)
	d.X = append(d.X, d.numbers...)
	for _, labels := range d.labels {
		labels.add(cell)
	}
}

// finish puts together what needs all rows to have been read. blank counts the
// rows left out.
func (d *Data) finish(blank map[string]int) {
	for _, labels := range d.labels {
		labels.sort()
	}
	d.settle()
	d.code()
	d.Rows = len(d.Lines)
	for _, column := range slices.Sorted(maps.Keys(blank)) {
		why := "nothing stands in " + column
		if column == weightless {
			why = "their weight is 0"
		}
		d.LeftOut += blank[column]
		d.note("left out %s: %s", counted(blank[column], "row", "rows"), why)
	}
}

// settle tells each row its cluster, one of its own where there are none.
func (d *Data) settle() {
	for i := range d.Lines {
		cluster := i
		if d.cluster != nil {
			cluster = d.cluster.Of[i]
		}
		if d.columns.Value != "" {
			d.Points[i].Cluster = cluster
		} else {
			d.Spans[i].Cluster = cluster
		}
	}
}

// code turns factors into columns of X: for each value of a factor but the
// first, 1 where the row has it and 0 elsewhere (treatment contrasts).
func (d *Data) code() {
	numbers := len(d.columns.Covariates)
	d.Covariates = slices.Clone(d.columns.Covariates)
	for _, f := range d.factors {
		for _, name := range f.Names[1:] {
			d.Covariates = append(d.Covariates, f.Columns[0]+"="+name)
		}
		d.note("%s: %s is the value that the others are compared with", f.Columns[0], f.Names[0])
	}
	if len(d.factors) == 0 {
		return
	}
	given := d.X
	d.X = make([]float64, 0, len(d.Lines)*len(d.Covariates))
	for i := range d.Lines {
		d.X = append(d.X, given[i*numbers:(i+1)*numbers]...)
		for _, f := range d.factors {
			for level := 1; level < len(f.Names); level++ {
				d.X = append(d.X, indicator(f.Of[i] == level))
			}
		}
	}
}

func (d *Data) note(format string, args ...any) {
	d.Notes = append(d.Notes, fmt.Sprintf(format, args...))
}

// groupName is a pointer to a group's name for JSON, nil without groups.
func (d *Data) groupName(g int) *string {
	if d.Groups == nil {
		return nil
	}
	return &d.Groups.Names[g]
}

// groupColumns names what groups are told apart by.
func (d *Data) groupColumns() string {
	if d.Groups == nil {
		return ""
	}
	return strings.Join(d.Groups.Columns, ", ")
}

// groupSizes counts the rows of each group.
func (d *Data) groupSizes() []int {
	sizes := make([]int, len(d.Groups.Names))
	for _, g := range d.Groups.Of {
		sizes[g]++
	}
	return sizes
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
