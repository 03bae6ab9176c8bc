package reports

import (
	"slices"

	"beadspan/study"
)

// PracticeCount is how often coating jobs or care left common practice for one
// reason.
type PracticeCount struct {
	Why      string
	Records  int // patches, or records of care
	Vehicles int
	Care     bool // of care, not of jobs
}

// practiceOf counts where jobs of the coated patches, and care of their
// vehicles, left common practice, in the order of the first of each.
func practiceOf(coated []study.Followed) []PracticeCount {
	var p practice
	for _, f := range coated {
		p.count(f.Vehicle, false, f.Patch.Job.Warnings())
	}
	for i, f := range coated {
		if i > 0 && coated[i-1].Vehicle == f.Vehicle {
			continue // its care was counted
		}
		for _, c := range f.Vehicle.Care {
			p.count(f.Vehicle, true, f.Vehicle.WarningsOf(c))
		}
	}
	return p.counts
}

// practice is counts in the making.
type practice struct {
	counts []PracticeCount
	last   []*study.Vehicle // the last vehicle that each count was about
}

func (p *practice) count(v *study.Vehicle, care bool, warnings []study.Warning) {
	for _, w := range warnings {
		at := slices.IndexFunc(p.counts, func(c PracticeCount) bool { return c.Why == w.Why && c.Care == care })
		if at < 0 {
			at = len(p.counts)
			p.counts = append(p.counts, PracticeCount{Why: w.Why, Care: care})
			p.last = append(p.last, nil)
		}
		p.counts[at].Records++
		if p.last[at] != v {
			p.counts[at].Vehicles++
			p.last[at] = v
		}
	}
}

// practiceTable is the counts for people.
func practiceTable(counts []PracticeCount) Table {
	t := Table{Caption: "Jobs and care that left common practice", Head: []string{"What is usual, and why", "Records", "Vehicles"}}
	for _, c := range counts {
		records := patches(c.Records)
		if c.Care {
			records = count(c.Records, "care record", "care records")
		}
		t.add(c.Why, records, number(c.Vehicles))
	}
	return t
}
