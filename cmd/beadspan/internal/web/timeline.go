package web

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"
	"time"

	"beadspan/study"
)

// timeline draws a patch's readings over time, by stage, with the care between
// them. Each mark can be pointed at or reached by the keyboard, and then says
// its value above the picture.
type timeline struct {
	out         strings.Builder
	say         *language
	protocol    study.Protocol
	width       float64
	first, last study.Day
	low, high   float64
	marks       int
}

// The picture's measures, in its own units.
const (
	timelineHeight = 250.0
	timelineLeft   = 40.0
	timelineRight  = 14.0
	timelineTop    = 30.0 // what a mark says stands here
	timelineFoot   = 58.0 // care, and the dates below
	careRoom       = 26.0
)

// drawTimeline draws the readings of a patch, which has some, for a page that
// wide.
func drawTimeline(l *language, p study.Protocol, line patchStory, today study.Day, width float64) template.HTML {
	t := &timeline{say: l, protocol: p, width: width, first: line.Patch.Applied, last: today}
	t.scale(line)
	fmt.Fprintf(&t.out, `<svg viewBox="0 0 %g %g" role="group" aria-label="%s" class="timeline">`, width, timelineHeight,
		html.EscapeString(l.text("timeline.name", "panel", line.Patch.Panel)))
	t.axes()
	for i := len(line.Readings) - 1; i >= 0; i-- { // the earliest first
		t.drops(line.Readings[i])
	}
	for i := len(line.Readings) - 1; i >= 0; i-- {
		t.reading(line.Readings[i])
	}
	for _, c := range line.Vehicle.CareOf(line.Patch.ID) {
		if c.Day >= t.first {
			t.care(c)
		}
	}
	t.out.WriteString(`</svg>`)
	return template.HTML(t.out.String()) // every text in it is escaped where it is written
}

// scale fits the axes around what is shown.
func (t *timeline) scale(line patchStory) {
	t.low, t.high = t.protocol.Threshold, t.protocol.Threshold
	for _, r := range line.Readings {
		t.first, t.last = min(t.first, r.Day), max(t.last, r.Day)
		if value, measured := t.protocol.Metric.Value(r.Reading); measured {
			t.low, t.high = min(t.low, value), max(t.high, value)
		}
		if t.protocol.Metric == study.Angle {
			for _, a := range r.AnglesDeg {
				t.low, t.high = min(t.low, a), max(t.high, a)
			}
		}
	}
	t.last = max(t.last, t.first+30)
	step := t.step()
	t.low, t.high = math.Floor(t.low/step-0.3)*step, math.Ceil(t.high/step+0.3)*step
	t.low = max(t.low, 0)
}

// step is how far apart the lines across lie.
func (t *timeline) step() float64 {
	spread := max(t.high-t.low, 1)
	step := math.Pow(10, math.Floor(math.Log10(spread)))
	for _, times := range []float64{0.2, 0.5, 1, 2} {
		if spread/(step*times) <= 5 {
			return step * times
		}
	}
	return step * 5
}

func (t *timeline) x(day study.Day) float64 {
	return timelineLeft + (t.width-timelineLeft-timelineRight)*float64(day-t.first)/float64(t.last-t.first)
}

func (t *timeline) y(value float64) float64 {
	return timelineHeight - timelineFoot - (timelineHeight-timelineFoot-timelineTop)*(value-t.low)/(t.high-t.low)
}

// axes draws lines across, the threshold, and the dates below.
func (t *timeline) axes() {
	step := t.step()
	for value := t.low; value <= t.high+step/1000; value += step {
		y := t.y(value)
		fmt.Fprintf(&t.out, `<path class="line" d="M%.1f %.1fH%.1f"/><text class="tick end" x="%.1f" y="%.1f">%s</text>`,
			timelineLeft, y, t.width-timelineRight, timelineLeft-6, y+4, html.EscapeString(trimmed(t.say, value)+tickUnit(t.protocol.Metric)))
	}
	y := t.y(t.protocol.Threshold)
	fmt.Fprintf(&t.out, `<path class="threshold" d="M%.1f %.1fH%.1f"/>`, timelineLeft, y, t.width-timelineRight)
	for _, month := range t.months() {
		x := t.x(month)
		fmt.Fprintf(&t.out, `<path class="line" d="M%.1f %.1fv4"/><text class="tick mid" x="%.1f" y="%.1f">%s</text>`,
			x, timelineHeight-timelineFoot+careRoom, x, timelineHeight-8, month.Time().Format("2006-01"))
	}
	fmt.Fprintf(&t.out, `<path class="axis" d="M%.1f %.1fH%.1f"/>`, timelineLeft, timelineHeight-timelineFoot, t.width-timelineRight)
}

// months are the days on which a month begins that the axis names.
func (t *timeline) months() []study.Day {
	room := max(1, int((t.width-timelineLeft-timelineRight)/80))
	every := 1
	for _, every = range []int{1, 2, 3, 6, 12, 24, 60, 120} {
		if int(float64(t.last-t.first)/study.DaysPerMonth)/every < room {
			break
		}
	}
	var months []study.Day
	from := t.first.Time()
	for m := 0; ; m++ {
		at := time.Date(from.Year(), time.January, 1, 0, 0, 0, 0, time.UTC).AddDate(0, m*every, 0)
		day := study.DayOfTime(at)
		if day > t.last {
			return months
		}
		if day >= t.first && t.x(day) < t.width-timelineRight-16 && t.x(day) > timelineLeft+10 {
			months = append(months, day)
		}
	}
}

// drops draws each drop of a reading faintly.
func (t *timeline) drops(r readingLine) {
	if t.protocol.Metric != study.Angle || len(r.AnglesDeg) < 2 {
		return
	}
	for _, a := range r.AnglesDeg {
		fmt.Fprintf(&t.out, `<circle class="single" cx="%.1f" cy="%.1f" r="1.6"/>`, t.x(r.Day), t.y(a))
	}
}

// reading draws one reading: hollow as driven in, a diamond when washed, full
// when decontaminated.
func (t *timeline) reading(r readingLine) {
	value, measured := t.protocol.Metric.Value(r.Reading)
	if !measured {
		return
	}
	x, y := t.x(r.Day), t.y(value)
	shape := fmt.Sprintf(`<circle class="%s" cx="%.1f" cy="%.1f" r="4.5"/>`, r.Stage, x, y)
	if r.Stage == study.Washed {
		shape = fmt.Sprintf(`<path class="washed" d="M%.1f %.1fl5.5 5.5l-5.5 5.5l-5.5 -5.5z"/>`, x, y-5.5)
	}
	verdict := "timeline.fails"
	if r.Passes {
		verdict = "timeline.passes"
	}
	words := fmt.Sprintf("%s, %s: %s %s, %s", t.say.date(r.Day), t.say.text(fmt.Sprintf("stage.%s", r.Stage)),
		trimmed(t.say, math.Round(value*10)/10), unitOf(t.protocol.Metric), t.say.text(verdict))
	t.mark(x, y, shape, words)
}

// tickUnit is the unit after a number of the axis.
func tickUnit(m study.Metric) string {
	switch m {
	case study.Angle, study.BeadGrade:
		return unitOf(m)
	}
	return "\u202f" + unitOf(m)
}

// unitOf is the unit of a metric's values as a sign.
func unitOf(m study.Metric) string {
	switch m {
	case study.Angle:
		return "°"
	case study.SheetTime:
		return "s"
	case study.WetShare:
		return "%"
	}
	return ""
}

// care draws what was done below the readings: a stroke for a wash, a triangle
// for what changes the surface.
func (t *timeline) care(c study.Care) {
	x, y := t.x(c.Day), timelineHeight-timelineFoot+careRoom/2
	shape := fmt.Sprintf(`<path class="wash" d="M%.1f %.1fv10"/>`, x, y-5)
	switch c.Kind {
	case study.MaintenanceWash:
	case study.DeconWash, study.IronRemover:
		shape = fmt.Sprintf(`<path class="wash thick" d="M%.1f %.1fv14"/>`, x, y-7)
	default:
		shape = fmt.Sprintf(`<path class="work" d="M%.1f %.1fl6 10h-12z"/>`, x, y-5)
	}
	t.mark(x, y, shape, t.say.date(c.Day)+": "+t.say.text(fmt.Sprintf("care.%s", c.Kind)))
}

// mark draws a shape that says something. Only the first is a stop of the
// keyboard; the arrow keys lead on from there.
func (t *timeline) mark(x, y float64, shape, words string) {
	stop := -1
	if t.marks == 0 {
		stop = 0
	}
	t.marks++
	escaped := html.EscapeString(words)
	fmt.Fprintf(&t.out, `<g class="mark" tabindex="%d" role="img" aria-label="%s"><circle class="hit" cx="%.1f" cy="%.1f" r="12"/>%s<text class="tip" x="%.1f" y="16" aria-hidden="true">%s</text></g>`,
		stop, escaped, x, y, shape, timelineLeft, escaped)
}
