package study

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// service is the day on which the patch of these tests goes into service: a
// day after it was coated, having been kept dry for 24 hours.
const service Day = 20_000

var inf = math.Inf(1)

// history builds a vehicle with one patch from lines such as
//
//	30 washed 95      a reading: day of service, stage, angle in degrees
//	40 care topper    care of the whole vehicle
//	0 enrolled        the day from which the vehicle is followed
//
// Readings of one day belong to one checkup.
func history(t *testing.T, lines ...string) (Vehicle, Patch) {
	t.Helper()
	patch := Patch{ID: NewID(), Code: "P1", Applied: service - 1}
	v := Vehicle{ID: NewID(), Code: "V1", Enrolled: service - 1, Patches: []Patch{patch}}
	for _, line := range lines {
		words := strings.Fields(line)
		days, err := strconv.Atoi(words[0])
		require.NoError(t, err, line)
		day := service + Day(days)
		switch {
		case words[1] == "enrolled":
			v.Enrolled = day
		case words[1] == "care":
			v.Care = append(v.Care, Care{ID: NewID(), Day: day, Kind: CareKind(words[2])})
		default:
			angle, err := strconv.ParseFloat(words[2], 64)
			require.NoError(t, err, line)
			v.read(day, Reading{PatchID: patch.ID, Stage: Stage(words[1]), AnglesDeg: []float64{angle}})
		}
	}
	return v, patch
}

func (v *Vehicle) read(day Day, r Reading) {
	if n := len(v.Checkups); n > 0 && v.Checkups[n-1].Day == day {
		v.Checkups[n-1].Readings = append(v.Checkups[n-1].Readings, r)
		return
	}
	v.Checkups = append(v.Checkups, Checkup{ID: NewID(), Day: day, Readings: []Reading{r}})
}

// days is a span's three numbers.
type days struct{ entry, lower, upper float64 }

// TestDerive has a case for every rule of how a span is derived. The expected
// spans follow from the rules by hand; they are the project's own rules, and
// have no outside source.
func TestDerive(t *testing.T) {
	cases := []struct {
		name     string
		history  []string
		protocol func(*Protocol)
		want     days
		standing Standing
		decided  Decided
	}{
		{
			name:     "a pass at any stage proves holding",
			history:  []string{"30 arrival 95", "60 washed 95", "90 decon 95"},
			want:     days{0, 90, inf},
			standing: Holding,
			decided:  Decided{Visits: 3},
		},
		{
			name:     "a pass as driven in is proof enough, whatever the wash",
			history:  []string{"30 arrival 95", "30 washed 88"},
			want:     days{0, 30, inf},
			standing: Holding,
			decided:  Decided{Visits: 1},
		},
		{
			name:     "a value on the threshold passes",
			history:  []string{"30 decon 90"},
			want:     days{0, 30, inf},
			standing: Holding,
			decided:  Decided{Visits: 1},
		},
		{
			name:     "a fail without a decon reading proves nothing",
			history:  []string{"30 washed 95", "60 arrival 70", "60 washed 75"},
			want:     days{0, 30, inf},
			standing: Doubtful,
			decided:  Decided{Visits: 2, DoubtfulVisits: 1},
		},
		{
			name:     "a fail before decon and a pass after it is masked, and holds",
			history:  []string{"30 washed 95", "60 washed 75", "60 decon 95"},
			want:     days{0, 60, inf},
			standing: Holding,
			decided:  Decided{Visits: 2, Masked: 1},
		},
		{
			name:     "two decon fails in a row: spent before the first",
			history:  []string{"30 washed 95", "60 decon 85", "90 decon 84"},
			want:     days{0, 30, 60},
			standing: Spent,
			decided:  Decided{Visits: 3, Spent: 1},
		},
		{
			name:     "a doubtful visit between two decon fails doesn't part them",
			history:  []string{"30 washed 95", "60 decon 85", "75 washed 80", "90 decon 84"},
			want:     days{0, 30, 60},
			standing: Spent,
			decided:  Decided{Visits: 4, DoubtfulVisits: 1, Spent: 1},
		},
		{
			name:     "an unconfirmed last fail is pending, not an event",
			history:  []string{"30 washed 95", "60 decon 85"},
			want:     days{0, 30, inf},
			standing: Doubtful,
			decided:  Decided{Visits: 2, Pending: 1},
		},
		{
			name:     "a later pass cancels an unconfirmed fail",
			history:  []string{"30 washed 95", "60 decon 85", "90 washed 93"},
			want:     days{0, 90, inf},
			standing: Holding,
			decided:  Decided{Visits: 3, Cancelled: 1},
		},
		{
			name:     "after a cancelled fail the count starts afresh",
			history:  []string{"30 washed 95", "60 decon 85", "90 decon 93", "120 decon 85", "150 decon 84"},
			want:     days{0, 90, 120},
			standing: Spent,
			decided:  Decided{Visits: 5, Cancelled: 1, Spent: 1},
		},
		{
			name:     "confirm 1: the first decon fail counts",
			history:  []string{"30 washed 95", "60 decon 85"},
			protocol: func(p *Protocol) { p.Confirm = 1 },
			want:     days{0, 30, 60},
			standing: Spent,
			decided:  Decided{Visits: 2, Spent: 1},
		},
		{
			name:     "confirm 3: two fails and a pass are two cancelled",
			history:  []string{"30 decon 95", "60 decon 85", "90 decon 85", "120 decon 95"},
			protocol: func(p *Protocol) { p.Confirm = 3 },
			want:     days{0, 120, inf},
			standing: Holding,
			decided:  Decided{Visits: 4, Cancelled: 2},
		},
		{
			name:     "a pass after the patch counted as spent changes nothing, and is shown",
			history:  []string{"30 washed 95", "60 decon 85", "90 decon 84", "120 washed 99"},
			want:     days{0, 30, 60},
			standing: Spent,
			decided:  Decided{Visits: 4, Spent: 1, PassedAfter: 1},
		},
		{
			name:     "pass before and fail after decon on one day: decon decides",
			history:  []string{"30 washed 95", "60 washed 92", "60 decon 85", "90 decon 84"},
			want:     days{0, 30, 60},
			standing: Spent,
			decided:  Decided{Visits: 3, Spent: 1, Contrary: 1},
		},
		{
			name:     "no proof before the first fail: open to the left",
			history:  []string{"60 decon 85", "90 decon 84"},
			want:     days{0, 0, 60},
			standing: Spent,
			decided:  Decided{Visits: 2, Spent: 1, LeftCensored: 1},
		},
		{
			name:     "seen spent on the day service begins: within the first day",
			history:  []string{"0 decon 80", "30 decon 80"},
			want:     days{0, 0, 1},
			standing: Spent,
			decided:  Decided{Visits: 2, Spent: 1, LeftCensored: 1},
		},
		{
			name:     "a reading inside the keep-dry time counts as day 0",
			history:  []string{"-1 washed 108", "60 decon 85", "90 decon 84"},
			want:     days{0, 0, 60},
			standing: Spent,
			decided:  Decided{Visits: 3, Spent: 1},
		},
		{
			name:     "enrolled late: followed from the first reading that passed",
			history:  []string{"100 enrolled", "110 washed 80", "120 washed 95", "200 decon 85", "230 decon 84"},
			want:     days{120, 120, 200},
			standing: Spent,
			decided:  Decided{Visits: 4, DoubtfulVisits: 1, Spent: 1, LateEntry: 1},
		},
		{
			name:     "enrolled on the day service begins is not late",
			history:  []string{"0 enrolled", "30 washed 95"},
			want:     days{0, 30, inf},
			standing: Holding,
			decided:  Decided{Visits: 1},
		},
		{
			name:     "enrolled late and never seen holding: nothing is known",
			history:  []string{"100 enrolled", "110 decon 80", "140 decon 79"},
			want:     days{0, 0, inf},
			standing: Spent,
			decided:  Decided{Visits: 2, NeverHeld: 1},
		},
		{
			name:     "the first topper ends the span at the last proof before it",
			history:  []string{"30 washed 95", "40 care topper", "60 washed 99", "90 decon 85", "120 decon 84"},
			want:     days{0, 30, inf},
			standing: Spent,
			decided:  Decided{Visits: 1, CutByTopper: 1, VisitsAfterCut: 3},
		},
		{
			name:     "a topper after the counted fail changes nothing",
			history:  []string{"30 washed 95", "60 decon 85", "90 decon 84", "90 care topper", "120 washed 99"},
			want:     days{0, 30, 60},
			standing: Spent,
			decided:  Decided{Visits: 3, Spent: 1, VisitsAfterCut: 1},
		},
		{
			name:     "as maintained, toppers are part of the care",
			history:  []string{"30 washed 95", "40 care topper", "60 washed 99", "90 decon 85", "120 decon 84"},
			protocol: func(p *Protocol) { p.Estimand = AsMaintained },
			want:     days{0, 60, 90},
			standing: Spent,
			decided:  Decided{Visits: 4, Spent: 1},
		},
		{
			name:     "readings on the day of the topper came before it",
			history:  []string{"30 washed 95", "60 washed 93", "60 care topper"},
			want:     days{0, 60, inf},
			standing: Holding,
			decided:  Decided{Visits: 2, CutByTopper: 1},
		},
		{
			name:     "a topper laid with the coating leaves nothing to learn",
			history:  []string{"-1 care topper", "30 washed 95"},
			want:     days{0, 0, inf},
			standing: Holding,
			decided:  Decided{NeverConclusive: 1, CutByTopper: 1, VisitsAfterCut: 1},
		},
		{
			name:     "film replaced, repainted, polished through, recoated, sold or lost: ends at the last proof",
			history:  []string{"30 washed 95", "50 care film_replaced", "60 decon 110"},
			want:     days{0, 30, inf},
			standing: Ended,
			decided:  Decided{Visits: 1, CutByCare: 1, VisitsAfterCut: 1},
		},
		{
			name:     "a pending fail isn't confirmed by what comes after the end",
			history:  []string{"30 washed 95", "60 decon 85", "70 care sold", "90 decon 84"},
			want:     days{0, 30, inf},
			standing: Ended,
			decided:  Decided{Visits: 2, Pending: 1, CutByCare: 1, VisitsAfterCut: 1},
		},
		{
			name:     "film replaced on the day of coating came before the coating",
			history:  []string{"-1 care film_replaced", "30 washed 95"},
			want:     days{0, 30, inf},
			standing: Holding,
			decided:  Decided{Visits: 1},
		},
		{
			name:     "washes, clay and a finishing polish end nothing",
			history:  []string{"30 washed 95", "30 care maintenance_wash", "40 care decon_wash", "41 care clay", "42 care polish", "60 washed 95"},
			want:     days{0, 60, inf},
			standing: Holding,
			decided:  Decided{Visits: 2},
		},
		{
			name:     "never read",
			want:     days{0, 0, inf},
			standing: Unread,
			decided:  Decided{NeverConclusive: 1},
		},
		{
			name:     "read, but never conclusively",
			history:  []string{"30 washed 80", "60 arrival 70"},
			want:     days{0, 0, inf},
			standing: Doubtful,
			decided:  Decided{Visits: 2, DoubtfulVisits: 2, NeverConclusive: 1},
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := DefaultProtocol()
			if c.protocol != nil {
				c.protocol(&p)
			}
			v, patch := history(t, c.history...)
			got := p.Derive(v, patch)
			assert.Equal(t, c.want, days{got.EntryDays, got.LowerDays, got.UpperDays})
			assert.Equal(t, c.standing, got.Standing)
			assert.Equal(t, c.decided.NeverHeld+c.decided.NeverConclusive == 0, got.Known, "known")
			c.decided.Patches = 1
			assert.Equal(t, c.decided, got.Decided)
		})
	}
}

// Care that ends a span must end it whichever kind it is.
func TestDeriveEndingCare(t *testing.T) {
	for _, kind := range CareKinds() {
		v, patch := history(t, "30 washed 95", "50 care "+string(kind), "60 washed 95")
		got := DefaultProtocol().Derive(v, patch)
		if kind.Ends() || kind == Topper {
			assert.Equal(t, 30.0, got.LowerDays, kind)
			assert.Equal(t, kind, got.Ended)
			assert.Equal(t, service+50, got.EndedOn)
		} else {
			assert.Equal(t, 60.0, got.LowerDays, kind)
			assert.Empty(t, got.Ended)
		}
	}
}

func TestDeriveTakesOnlyItsOwnPatch(t *testing.T) {
	v, patch := history(t, "30 washed 95")
	other := NewID()
	v.read(service+60, Reading{PatchID: other, Stage: Washed, AnglesDeg: []float64{99}})
	v.Care = append(v.Care, Care{PatchID: &other, Day: service + 10, Kind: FilmReplaced})
	got := DefaultProtocol().Derive(v, patch)
	assert.Equal(t, days{0, 30, inf}, days{got.EntryDays, got.LowerDays, got.UpperDays})
	assert.Empty(t, got.Ended)
}

// A second operator on the same day reads the same visit: the two fails are
// one, and their mean is judged.
func TestDeriveTwoOperatorsOneDay(t *testing.T) {
	v, patch := history(t, "30 washed 95", "60 decon 88")
	second := Checkup{ID: NewID(), Day: service + 60, Readings: []Reading{
		{PatchID: patch.ID, Stage: Decon, AnglesDeg: []float64{86}}}}
	v.Checkups = append(v.Checkups, second)
	got := DefaultProtocol().Derive(v, patch)
	assert.False(t, got.Spent())
	assert.Equal(t, 1, got.Decided.Pending)

	v.Checkups[2].Readings[0].AnglesDeg = []float64{93} // the mean is 90.5
	assert.Equal(t, 60.0, DefaultProtocol().Derive(v, patch).LowerDays)
}

func TestDeriveReviews(t *testing.T) {
	v, patch := history(t, "30 washed 95", "60 decon 85", "90 washed 93",
		"120 washed 92", "120 decon 85", "150 decon 84", "180 decon 99")
	assert.Equal(t, []Review{
		{service + 60, CancelledFail},
		{service + 120, ContraryPair},
		{service + 180, PassAfterSpent},
	}, DefaultProtocol().Derive(v, patch).Reviews)
}

// For sheet time and wet share a low value is good.
func TestDeriveOtherMetrics(t *testing.T) {
	v, patch := history(t)
	seconds := func(x float64) *float64 { return &x }
	v.read(service+30, Reading{PatchID: patch.ID, Stage: Washed, SheetTimeS: seconds(20)})
	v.read(service+60, Reading{PatchID: patch.ID, Stage: Decon, SheetTimeS: seconds(50)})
	v.read(service+75, Reading{PatchID: patch.ID, Stage: Decon, AnglesDeg: []float64{110}})
	v.read(service+90, Reading{PatchID: patch.ID, Stage: Decon, SheetTimeS: seconds(55)})
	got := Protocol{Metric: SheetTime, Threshold: 40, Confirm: 2, Estimand: ToTopper}.Derive(v, patch)
	assert.Equal(t, days{0, 30, 60}, days{got.EntryDays, got.LowerDays, got.UpperDays})
	assert.Equal(t, 3, got.Decided.Visits, "a reading without the metric is no visit")
}

// Common practice, no source: where nobody wrote the keep-dry time down it
// was a day.
func TestInService(t *testing.T) {
	hours := func(x float64) *float64 { return &x }
	for want, keepDry := range map[Day][]*float64{
		0: {hours(0)},
		1: {nil, hours(1), hours(12), hours(24)},
		2: {hours(25), hours(48)},
	} {
		for _, h := range keepDry {
			p := Patch{Applied: 100, Job: Job{KeepDryH: h}}
			assert.Equal(t, 100+want, p.InService(), h)
		}
	}
}
