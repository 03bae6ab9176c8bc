package reports

import (
	"cmp"
	"slices"
	"strings"

	"beadspan/study"
)

// By is something that patches are told apart by.
type By string

// What the rows of a table of life can be split by.
const (
	ByCoating By = "coating"
	ByClimate By = "climate"
)

// Bys lists what a table can be split by.
func Bys() []By { return []By{ByCoating, ByClimate} }

// Group names the patches that one row is about. What the table isn't split by
// is empty.
type Group struct {
	Coating string
	Climate string // Köppen-Geiger class
}

// String writes the group as on a label: "C-12, Cfb".
func (g Group) String() string {
	var parts []string
	for _, part := range []string{g.Coating, g.Climate} {
		if part != "" {
			parts = append(parts, part)
		}
	}
	if len(parts) == 0 {
		return "all patches"
	}
	return strings.Join(parts, ", ")
}

// names are what the group is called in the columns of a table split by by.
func (g Group) names(by []By) []string {
	var names []string
	if slices.Contains(by, ByCoating) {
		names = append(names, g.Coating)
	}
	if slices.Contains(by, ByClimate) {
		names = append(names, g.Climate)
	}
	return names
}

func (g Group) compare(other Group) int {
	return cmp.Or(strings.Compare(g.Coating, other.Coating), strings.Compare(g.Climate, other.Climate))
}

// member is a patch of a group, with its vehicle's number in the fleet.
type member struct {
	study.Followed
	vehicle int
}

// groupOf says which group a followed patch falls in.
func groupOf(f study.Followed, by []By) Group {
	var g Group
	if slices.Contains(by, ByCoating) {
		g.Coating = OrUnknown(f.Coating.Code)
	}
	if slices.Contains(by, ByClimate) {
		g.Climate = OrUnknown(f.Site.Koppen)
	}
	return g
}

// grouped sorts the coated patches into groups and returns the groups in
// order. Controls are left out: what was never coated has no life to lose.
func grouped(followed []study.Followed, by []By) ([]Group, map[Group][]member) {
	vehicles := map[*study.Vehicle]int{}
	members := map[Group][]member{}
	var groups []Group
	for _, f := range withoutControls(followed) {
		number, seen := vehicles[f.Vehicle]
		if !seen {
			number = len(vehicles)
			vehicles[f.Vehicle] = number
		}
		g := groupOf(f, by)
		if _, seen := members[g]; !seen {
			groups = append(groups, g)
		}
		members[g] = append(members[g], member{f, number})
	}
	slices.SortFunc(groups, Group.compare)
	return groups, members
}

// vehiclesOf counts the vehicles among members for which keep holds.
func vehiclesOf(members []member, keep func(member) bool) int {
	seen := map[int]bool{}
	for _, m := range members {
		if keep(m) {
			seen[m.vehicle] = true
		}
	}
	return len(seen)
}

// OrUnknown names a coating or climate as groups do; one that nobody wrote down is
// "unknown".
func OrUnknown(name string) string {
	if name == "" {
		return "unknown"
	}
	return name
}
