package reports

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// flowYard has a patch for every way through the study. What becomes of each
// follows from the rules at Protocol.Derive.
func flowYard() *yard {
	y := newYard()
	y.vehicle("Cfb", "A")                                  // unread
	y.spent("Cfb", "A", 100, 200)                          // spent
	y.held("Cfb", "A", 100)                                // holding, read once
	y.vehicle("Cfb", "A", clean{50, 105}, clean{100, 104}) // holding, read twice
	y.vehicle("Cfb", "BARE", clean{50, 75})                // a control alone
	topped := y.vehicle("Cfb", "B", clean{50, 105})        // left at a topper
	care(topped, 80, study.Topper)
	sold := y.vehicle("Cfb", "B", clean{50, 105}) // gone
	care(sold, 80, study.Sold)
	tooLate := y.vehicle("Cfb", "B", clean{90, 105}) // read only after it was repainted
	care(tooLate, 80, study.Repaint)
	masked := y.vehicle("Cfb", "B", clean{50, 80}) // failed unwashed: proves nothing
	masked.Checkups[0].Readings[0].Stage = study.Arrival
	doubtful := y.vehicle("Cfb", "B", clean{50, 105}, clean{90, 80}) // held, then failed unwashed
	doubtful.Checkups[1].Readings[0].Stage = study.Arrival
	late := y.vehicle("Cfb", "B", clean{90, 80}) // enrolled late, never seen holding
	late.Enrolled = serviceBegan + 60
	return y
}

func care(v *study.Vehicle, day int, kind study.CareKind) {
	v.Care = append(v.Care, study.Care{ID: study.NewID(), Day: serviceBegan + study.Day(day), Kind: kind})
}

func TestFlowOfEveryWay(t *testing.T) {
	y := flowYard()
	f := newFlow(&y.fleet, y.follow())
	assert.Equal(t, 1, f.Controls)
	assert.Equal(t, []PatchFlow{
		{Coating: "A", Coated: 4, NeverRead: 1, ReadOnce: 1, ReadMore: 2, Unread: 1, Counted: 3, Spent: 1, Holding: 2},
		{Coating: "B", Coated: 6, NeverRead: 1, ReadOnce: 4, ReadMore: 1, ReadTooLate: 1, Inconclusive: 1, NeverHeld: 1, Counted: 3, Topped: 1, Ended: 1, Doubtful: 1},
	}, f.Coatings)
	assert.Equal(t, VehicleFlow{Enrolled: 11, Uncoated: 1, NeverRead: 1, NothingKnown: 3, Counted: 6, WithSpent: 1, Followed: 3, Ended: 2}, f.Vehicles)
}

// requireSums holds a flow to what it promises: at each step the counts add up.
func requireSums(t require.TestingT, f *Flow) {
	all := PatchFlow{}
	for _, p := range append(f.Coatings, f.Patches) {
		require.Equal(t, p.Coated, p.NeverRead+p.ReadOnce+p.ReadMore, p.Coating)
		require.Equal(t, p.Coated, p.LeftOut()+p.Counted, p.Coating)
		require.Equal(t, p.Counted, p.Spent+p.Topped+p.Ended+p.Followed(), p.Coating)
		all.Coated += p.Coated
		all.Counted += p.Counted
	}
	require.Equal(t, 2*f.Patches.Coated, all.Coated, "the coatings are all there is")
	require.Equal(t, 2*f.Patches.Counted, all.Counted)
	v := f.Vehicles
	require.Equal(t, v.Enrolled, v.Uncoated+v.NeverRead+v.NothingKnown+v.Counted)
	require.Equal(t, v.Counted, v.WithSpent+v.Followed+v.Ended)
}

// TestFlowAddsUp: on any fleet, and in agreement with the table of life, which
// counts by a way of its own.
func TestFlowAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := newYard()
		for range rapid.IntRange(0, 12).Draw(t, "vehicles") {
			var v *study.Vehicle
			for i := range rapid.IntRange(1, 3).Draw(t, "patches") {
				var readings []clean
				for range rapid.IntRange(0, 4).Draw(t, "readings") {
					readings = append(readings, clean{rapid.IntRange(1, 900).Draw(t, "day"), rapid.Float64Range(70, 110).Draw(t, "angle")})
				}
				coating := rapid.SampledFrom([]string{"A", "B", "BARE"}).Draw(t, "coating")
				if i == 0 {
					v = y.vehicle("Cfb", coating, readings...)
				} else {
					y.patch(v, coating, readings...)
				}
			}
			for _, c := range v.Checkups {
				c.Readings[0].Stage = rapid.SampledFrom(study.Stages()).Draw(t, "stage")
			}
			if rapid.Bool().Draw(t, "cared for") {
				care(v, rapid.IntRange(1, 900).Draw(t, "care"), rapid.SampledFrom(study.CareKinds()).Draw(t, "kind"))
			}
			v.Enrolled += study.Day(rapid.SampledFrom([]int{0, 0, 100}).Draw(t, "late"))
		}
		followed := y.follow()
		f := newFlow(&y.fleet, followed)
		requireSums(t, f)
		members := 0
		for _, fl := range followed {
			members += one(!fl.Coating.Control && fl.Span.Known)
		}
		require.Equal(t, members, f.Patches.Counted)
	})
}

func TestFlowOfTheDemo(t *testing.T) {
	fleet := simulate.Fleet(1)
	followed := fleet.Follow(study.DefaultProtocol())
	f := newFlow(&fleet, followed)
	requireSums(t, f)
	groups, members := grouped(followed, []By{ByCoating})
	require.Len(t, f.Coatings, len(groups))
	for i, g := range groups {
		s := newSample(members[g])
		assert.Equal(t, len(s.spans), f.Coatings[i].Counted, g)
		assert.Equal(t, s.unknown, f.Coatings[i].LeftOut(), g)
		assert.Equal(t, s.spent, f.Coatings[i].Spent, g)
	}
}

// The chart keeps within its width and its height, and no text is wider than its
// box.
func TestFlowChartFits(t *testing.T) {
	y := flowYard()
	plot := newFlow(&y.fleet, y.follow()).plot()
	picture := plot.picture.(flowPicture)
	for _, width := range []float64{float64(narrowWidth), 500, float64(wideWidth)} {
		boxes, _, height := picture.layout(vg.Length(width))
		for i, b := range boxes {
			assert.LessOrEqual(t, b.left+b.width, vg.Length(width), "%s", b.lines)
			assert.LessOrEqual(t, b.bottom(), height)
			for _, line := range b.lines {
				assert.LessOrEqual(t, flowText().Width(line), b.width-2*flowPadding+0.01, line)
			}
			for _, other := range boxes[:i] {
				apart := b.top >= other.bottom() || other.top >= b.bottom() || b.left >= other.left+other.width || other.left >= b.left+b.width
				assert.True(t, apart, "%s and %s overlap at %g", b.lines, other.lines, width)
			}
		}
	}
	var buf bytes.Buffer
	require.NoError(t, plot.WriteSVG(&buf))
	requireXML(t, buf.String())
}
