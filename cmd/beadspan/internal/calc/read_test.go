package calc

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/decay"
	"beadspan/stats/survival"
	"beadspan/study"
)

var (
	exactColumns    = Columns{Time: "time", Status: "status"}
	readingColumns  = Columns{Time: "t", Value: "angle", Weight: "n"}
	intervalColumns = Columns{Lower: "from", Upper: "to", Entry: "entry"}
)

func read(t *testing.T, columns Columns, text string) *Data {
	t.Helper()
	d, err := Read("f.csv", strings.NewReader(text), columns)
	require.NoError(t, err)
	return d
}

// TestReadRefuses: every fault is told by row and column, all at once.
func TestReadRefuses(t *testing.T) {
	full := Columns{Time: "time", Status: "status", Weight: "w", Covariates: []string{"age"}, Groups: []string{"g"}}
	for name, c := range map[string]struct {
		columns Columns
		text    string
		want    []string
	}{
		"cells": {full, "time,status,w,age,g\nx,1,1,30,a\n-2,0,1,31,a\n3,2,1,NaN,b\n4,1\nInf,1,1,1_0,a\n0x1,0,-1,\"2,5\",a\n1e999,0,,1,a\n7,1,1,1,a\n", []string{
			`f.csv, row 2, time: "x": expected a time, 0 or more, with a decimal point, or nothing`,
			`f.csv, row 3, time: "-2": expected a time, 0 or more`,
			`f.csv, row 4, status: "2": expected 1 (it ended then) or 0 (it still held)`,
			`f.csv, row 4, age: "NaN": expected a number, with a decimal point, or nothing`,
			`f.csv, row 5: expected 5 cells as in the heading, got 2`,
			`f.csv, row 6, time: "Inf": expected a time, 0 or more, with a decimal point, or nothing`,
			`f.csv, row 6, age: "1_0": expected a number, with a decimal point, or nothing`,
			`f.csv, row 7, time: "0x1": expected a time, 0 or more, with a decimal point, or nothing`,
			`f.csv, row 7, w: "-1": expected a number, 0 or more`,
			`f.csv, row 7, age: "2,5": expected a number, with a decimal point, or nothing`,
			`f.csv, row 8, time: "1e999": expected a time, 0 or more, with a decimal point, or nothing`,
		}},
		"weights": {full, "time,status,w,age,g\n1,1,-1,1,a\n", []string{
			`f.csv, row 2, w: "-1": expected a number, 0 or more`}},
		"intervals": {intervalColumns, "from;to;entry\n5;3;\n;4;1\n2;4;3\n4;4;4\n7;Inf;\n1;2;-1\n", []string{
			`f.csv, row 2, from: "5": lies after to 3: expected the earlier time first`,
			`f.csv, row 3, entry: "1": lies after from (blank): expected the time since when it was watched`,
			`f.csv, row 4, entry: "3": lies after from 2: expected the time since when it was watched`,
			`f.csv, row 5, entry: "4": ended when it entered: it was never watched`,
			`f.csv, row 6, to: "Inf": expected a time, 0 or more, with a decimal point, or nothing`,
			`f.csv, row 7, entry: "-1": expected a time, 0 or more`,
		}},
		"readings": {readingColumns, "t,angle,n\n-1,90,1\n2,x,1\n3,NaN,-2\n", []string{
			`f.csv, row 2, t: "-1": expected a time, 0 or more`,
			`f.csv, row 3, angle: "x": expected a number, with a decimal point, or nothing`,
			`f.csv, row 4, angle: "NaN": expected a number, with a decimal point, or nothing`,
			`f.csv, row 4, n: "-2": expected a number, 0 or more`,
		}},
		"no readings": {readingColumns, "t,angle,n\n", []string{`f.csv: there is nothing below the heading: expected a row for each reading`}},
		"no columns": {exactColumns, "tiem,Status\n1,1\n", []string{
			`f.csv, row 1, status: no such column. The file has tiem, Status`,
			`f.csv, row 1, time: no such column. The file has tiem, Status`,
		}},
		"two columns": {exactColumns, "time,status,time\n1,1,2\n", []string{
			`f.csv, row 1, time: two columns have this name: rename one`}},
		"nothing":      {exactColumns, "", []string{`f.csv: the file is empty: expected a heading and a row for each life`}},
		"blank lines":  {exactColumns, "\r\n\n", []string{`f.csv: the file is empty: expected a heading and a row for each life`}},
		"a heading":    {exactColumns, "time,status\n", []string{`f.csv: there is nothing below the heading: expected a row for each life`}},
		"only blanks":  {exactColumns, "time,status\n1,\n,0\n", []string{`f.csv: nothing is left: every row has a blank in a column that was asked for, or weight 0`}},
		"binary":       {exactColumns, "time,\x00status\n", []string{`f.csv, row 1: this is no heading: expected a CSV file, saved as UTF-8`}},
		"other letter": {exactColumns, "time,status,h\xe4user\n", []string{`f.csv, row 1: this is no heading: expected a CSV file, saved as UTF-8`}},
		"endless line": {exactColumns, strings.Repeat("time,", 1<<20), []string{`f.csv, row 1: this is no heading: expected a CSV file, saved as UTF-8`}},
		"quotes": {exactColumns, "time,status\n1,1\n\"2,1\n3,1\n", []string{
			`f.csv, row 3: quotation marks are amiss: put a cell in quotation marks whole, and write one within it twice. Nothing below was read`}},
		"no such rows": {Columns{Time: "time", Status: "status", Where: []Condition{{"status", "7"}}}, "time,status\n1,1\n", []string{
			`f.csv: no row has status=7`}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read("f.csv", strings.NewReader(c.text), c.columns)
			var problems study.Problems
			require.True(t, errors.As(err, &problems), "got %v", err)
			assert.Equal(t, c.want, strings.Split(problems.Error(), "\n"))
		})
	}
}

func TestManyProblemsAreCounted(t *testing.T) {
	_, err := Read("f.csv", strings.NewReader("time,status\n"+strings.Repeat("x,1\n", study.MaxProblems+5)), exactColumns)
	var problems study.Problems
	require.True(t, errors.As(err, &problems))
	assert.Len(t, problems, study.MaxProblems+1)
	assert.Equal(t, "and 5 more problems", problems[study.MaxProblems].String())
}

// TestReadForms: separators, byte order mark, line ends, quotation marks and
// columns that nobody asked for.
func TestReadForms(t *testing.T) {
	want := []survival.Span{survival.Exact(1.5), survival.RightCensored(2000)}
	for _, text := range []string{
		"time,status\n1.5,1\n2000,0\n",
		"\xEF\xBB\xBFtime;status\r\n1.5;1\r\n2e3;0",
		"note\tstatus\ttime\n1,5\t1\t1.5\n\n?\t0\t 2000 \n",
		"\n\"time\",\"status\",\"a \"\"b\"\"\"\n\"1.5\",1,x\n+2000,0,\"y\nz\"\n",
	} {
		d := read(t, exactColumns, text)
		for i := range want {
			want[i].Cluster = i
		}
		assert.Equal(t, want, d.Spans, "%q", text)
		assert.Empty(t, d.Notes)
	}
}

func TestReadIntervals(t *testing.T) {
	d := read(t, intervalColumns, "from,to,entry\n1,2,\n,3,\n4,,\n5,5,2\n,,\n")
	assert.Equal(t, []survival.Span{
		{Lower: 1, Upper: 2},
		{Upper: 3, Cluster: 1},
		{Lower: 4, Upper: math.Inf(1), Cluster: 2},
		{Entry: 2, Lower: 5, Upper: 5, Cluster: 3},
	}, d.Spans)
	assert.Equal(t, []string{"left out 1 row: nothing stands in from and to"}, d.Notes)
}

func TestReadReadings(t *testing.T) {
	columns := readingColumns
	columns.Cluster = "car"
	d := read(t, columns, "car,t,angle,n\nb,0,-101.5,5\na,30,99,4\na,60,,1\nb,30,98,0\n")
	assert.Equal(t, []decay.Point{
		{Value: -101.5, Weight: 5, Cluster: 1},
		{Time: 30, Value: 99, Weight: 4, Cluster: 0},
	}, d.Points)
	assert.Equal(t, []int{2, 3}, d.Lines)
	assert.Equal(t, []string{"left out 1 row: their weight is 0", "left out 1 row: nothing stands in angle"}, d.Notes)
}

// TestRowsLeftOut: a row with a blank is left out and counted, whichever column
// it is in; conditions come first.
func TestRowsLeftOut(t *testing.T) {
	columns := Columns{Time: "time", Status: "status", Weight: "w", Covariates: []string{"age"}, Groups: []string{"g"},
		Where: []Condition{{"shop", "a"}, {"shop", "b"}, {"year", "2"}}}
	d := read(t, columns, "time,status,w,age,g,shop,year\n"+
		"1,1,1,30,x,a,2\n"+ // taken
		"2,1,1,30,x,c,2\n"+ // another shop
		"x,1,1,30,x,a,1\n"+ // another year, so nobody minds
		"3,1,1,,x,b,2.0\n"+
		"4,1,1,,,b,2\n"+
		"5,1,0,30,x,b,2\n"+
		"6,,1,30,x,b,2\n"+
		"7,0,2.5,31,y,b,2\n") // taken
	assert.Equal(t, []int{2, 9}, d.Lines)
	assert.Equal(t, 2, d.Rows)
	assert.Equal(t, 4, d.LeftOut)
	assert.Equal(t, []string{"left out 1 row: their weight is 0", "left out 1 row: nothing stands in age",
		"left out 1 row: nothing stands in g", "left out 1 row: nothing stands in status"}, d.Notes)
	assert.Equal(t, []float64{1, 2.5}, []float64{d.Spans[0].Weight, d.Spans[1].Weight})
	assert.Equal(t, []float64{30, 31}, d.X)
}

// TestFactors: the first value, by number where all are, is the base.
func TestFactors(t *testing.T) {
	columns := Columns{Time: "time", Status: "status", Covariates: []string{"age"}, Factors: []string{"size", "colour"}}
	d := read(t, columns, "time,status,age,size,colour\n1,1,30,10,red\n2,1,31,9,blue\n3,1,32,9,red\n4,1,33,100,red\n")
	assert.Equal(t, []string{"age", "size=10", "size=100", "colour=red"}, d.Covariates)
	assert.Equal(t, []float64{
		30, 1, 0, 1,
		31, 0, 0, 0,
		32, 0, 0, 1,
		33, 0, 1, 1,
	}, d.X)
	l, err := d.life([]Condition{{"colour", "blue"}, {"size", "100"}, {"age", "7"}})
	require.NoError(t, err)
	assert.Equal(t, []float64{7, 0, 1, 0}, l.x)

	for _, values := range [][]Condition{
		nil,
		{{"colour", "blue"}, {"size", "100"}},
		{{"colour", "green"}, {"size", "100"}, {"age", "7"}},
		{{"colour", "blue"}, {"size", "100"}, {"age", "old"}},
		{{"colour", "blue"}, {"size", "100"}, {"age", "7"}, {"age", "8"}},
		{{"colour", "blue"}, {"size", "100"}, {"age", "7"}, {"weight", "8"}},
	} {
		_, err := d.life(values)
		assert.ErrorContains(t, err, "predict", "%v", values)
	}
}

func TestLabelsOfSeveralColumns(t *testing.T) {
	columns := Columns{Time: "time", Status: "status", Groups: []string{"shop", "year"}, Cluster: "vehicle"}
	d := read(t, columns, "time,status,shop,year,vehicle\n1,1,b,10,V1\n2,1,a,10,V2\n3,1,b,9,V1\n")
	assert.Equal(t, []string{"a, 10", "b, 9", "b, 10"}, d.Groups.Names)
	assert.Equal(t, []int{2, 0, 1}, d.Groups.Of)
	assert.Equal(t, []int{0, 1, 0}, []int{d.Spans[0].Cluster, d.Spans[1].Cluster, d.Spans[2].Cluster})
}

// Whatever lives are written, the same are read.
func TestReadWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		separator := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "separator")
		n := rapid.IntRange(1, 20).Draw(t, "n")
		text := []string{strings.Join([]string{"from", "to", "entry"}, separator)}
		var want []survival.Span
		for i := range n {
			s := survival.Span{Cluster: i, Entry: rapid.Float64Range(0, 1e9).Draw(t, "entry")}
			s.Lower = s.Entry + rapid.Float64Range(0, 1e9).Draw(t, "watched")
			s.Upper = math.Nextafter(s.Lower, math.Inf(1)) + rapid.Float64Range(0, 1e9).Draw(t, "longer")
			to := strconv.FormatFloat(s.Upper, 'g', -1, 64)
			if rapid.Bool().Draw(t, "open") {
				s.Upper, to = math.Inf(1), ""
			}
			want = append(want, s)
			text = append(text, strings.Join([]string{fmt.Sprint(s.Lower), to, fmt.Sprint(s.Entry)}, separator))
		}
		d, err := Read("f.csv", strings.NewReader(strings.Join(text, "\n")), intervalColumns)
		require.NoError(t, err)
		assert.Equal(t, want, d.Spans)
	})
}

func BenchmarkRead(b *testing.B) {
	var text strings.Builder
	text.WriteString("time,status,g,note\n")
	for i := range 100_000 {
		fmt.Fprintf(&text, "%d.25,%d,%c,nobody reads this\n", i%1000, i%2, 'a'+rune(i%3))
	}
	columns := Columns{Time: "time", Status: "status", Groups: []string{"g"}}
	b.SetBytes(int64(text.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("f.csv", strings.NewReader(text.String()), columns); err != nil {
			b.Fatal(err)
		}
	}
}
