package web

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// judged is one day's readings of a patch, for the phone to judge.
type judged struct {
	Protocol bayProtocol                 `json:"protocol"`
	Stages   map[study.Stage]sentReading `json:"stages"`
}

// The phone says of one day's readings what the study's own rules say, under
// every metric and for values on the threshold too.
func TestPhoneJudgesAsTheStudy(t *testing.T) {
	x, _ := baySite(t)
	ctx := signedInBrowser(t, x, "bay")
	random := rand.New(rand.NewPCG(1, 2))
	var cases []judged
	var want []string
	for range 600 {
		protocol := randomProtocol(random)
		c := judged{newBayProtocol(protocol), map[study.Stage]sentReading{}}
		v := study.Vehicle{Patches: []study.Patch{{ID: study.NewID()}}, Checkups: []study.Checkup{{Day: 100}}}
		for _, stage := range study.Stages() {
			if random.IntN(3) == 0 {
				continue
			}
			r := randomReading(random)
			c.Stages[stage] = r
			v.Checkups[0].Readings = append(v.Checkups[0].Readings, study.Reading{PatchID: v.Patches[0].ID, Stage: stage,
				AnglesDeg: r.AnglesDeg, SheetTimeS: r.SheetTimeS, WetSharePct: r.WetSharePct, BeadGrade: r.BeadGrade})
		}
		cases = append(cases, c)
		want = append(want, outcomeOf(protocol.Derive(v, v.Patches[0])))
	}
	text, err := json.Marshal(cases)
	require.NoError(t, err)
	got, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](fmt.Sprintf(
		`import(%q).then((m) => %s.map((c) => m.judge(c.protocol, c.stages)))`, x.assets.address("bay/judge.js"), text), chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	assert.Equal(t, want, got)
	for _, outcome := range []string{"holding", "masked", "spent", "contrary", "doubtful", "unread"} {
		assert.Contains(t, want, outcome)
	}
}

func randomProtocol(random *rand.Rand) study.Protocol {
	metric := study.Metrics()[random.IntN(len(study.Metrics()))]
	threshold := map[study.Metric]float64{study.Angle: 90, study.SheetTime: 20, study.WetShare: 25, study.BeadGrade: 3}[metric]
	return study.Protocol{Metric: metric, Threshold: threshold, Confirm: 1, Estimand: study.ToTopper}
}

func randomReading(random *rand.Rand) sentReading {
	var r sentReading
	for range random.IntN(4) {
		r.AnglesDeg = append(r.AnglesDeg, float64(60+10*random.IntN(7)))
	}
	if random.IntN(2) == 0 {
		r.SheetTimeS = new(float64(10 * random.IntN(5)))
	}
	if random.IntN(2) == 0 {
		r.WetSharePct = new(float64(5 * random.IntN(11)))
	}
	if random.IntN(2) == 0 {
		r.BeadGrade = new(1 + random.IntN(5))
	}
	return r
}

// outcomeOf is the phone's word for what the rules made of a single day.
func outcomeOf(s study.Span) string {
	switch {
	case s.Decided.Masked > 0:
		return "masked"
	case s.Decided.Contrary > 0:
		return "contrary"
	}
	return string(s.Standing)
}

// A drop that is the part of a sphere above a plane: by a sphere's radius R and
// the angle θ at its foot its width is 2R·sin θ and its height R·(1 − cos θ).
func TestPhoneTakesAnglesFromSizes(t *testing.T) {
	x, _ := baySite(t)
	ctx := signedInBrowser(t, x, "bay")
	for _, degrees := range []float64{5, 60, 90, 104.5, 150} {
		theta, radius := degrees*math.Pi/180, 1.37
		got, err := chromedp.Run(ctx, chromedp.Evaluate[float64](fmt.Sprintf(`import(%q).then((m) => m.capAngleDeg(%v, %v))`,
			x.assets.address("bay/judge.js"), radius*(1-math.Cos(theta)), 2*radius*math.Sin(theta)), chromedp.EvalAwaitPromise))
		require.NoError(t, err)
		assert.InDelta(t, degrees, got, 1e-9)
	}
}

// Ids are UUIDs of version 7 in the order of their making (RFC 9562, whose
// example, appendix A.6, is of 2022-02-22 19:22:22 GMT: 017f22e2-79b0-7…).
func TestPhoneMakesIDs(t *testing.T) {
	x, _ := baySite(t)
	ctx := signedInBrowser(t, x, "bay")
	got, err := chromedp.Run(ctx, chromedp.Evaluate[string](fmt.Sprintf(`import(%q).then((m) => m.newID(1645557742000))`,
		x.assets.address("bay/id.js")), chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	var id study.ID
	require.NoError(t, id.UnmarshalText([]byte(got)))
	assert.Equal(t, "017f22e2-79b0-7", got[:15])
	assert.EqualValues(t, 7, id.Version())
	assert.Equal(t, "RFC4122", id.Variant().String())
}

// A label's address names its vehicle; any other text that a camera may see
// names none.
func TestPhoneReadsLabels(t *testing.T) {
	x, _ := baySite(t)
	ctx := signedInBrowser(t, x, "bay")
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(x.url+"/studies/S1/bay"), chromedp.WaitReady(`html[data-ready]`)))
	for text, want := range map[string]string{
		"https://shop.example" + bayPath("S1", "V/1 ü"): "V/1 ü",
		"https://shop.example/studies/S1/vehicles/V1":   "null",
		"V001":    "null",
		"http://": "null",
	} {
		got, err := chromedp.Run(ctx, chromedp.Evaluate[string](fmt.Sprintf(`import(%q).then((m) => String(m.codeOf(%q)))`,
			x.assets.address("bay/scan.js"), text), chromedp.EvalAwaitPromise))
		require.NoError(t, err)
		assert.Equal(t, want, got, text)
	}
}
