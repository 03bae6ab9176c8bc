package reports

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

// plainPaths finds the paths of an SVG that are lines and nothing else, to
// points in full: what our plots are drawn with.
var plainPaths = regexp.MustCompile(`\sd="M[-0-9.,MLZ]*"`)

// shortPaths writes the paths of an SVG in few characters, which repeat one
// another: each point as the way from the one before, to a tenth of a unit. A
// cloud of dots then packs to a quarter.
func shortPaths(svg string) string {
	return plainPaths.ReplaceAllStringFunc(svg, func(attribute string) string {
		const opening = ` d="`
		short, ok := shortPath(attribute[len(opening) : len(attribute)-1])
		if !ok {
			return attribute
		}
		return opening + short + `"`
	})
}

// shortPath writes one path so; ok is false if it isn't what it seemed to be.
// Steps lie between rounded points, so that rounding doesn't add up.
func shortPath(path string) (short string, ok bool) {
	var out strings.Builder
	var at, start pathPoint
	for i := 0; i < len(path); {
		command := path[i]
		end := i + 1
		for end < len(path) && !strings.ContainsRune("MLZ", rune(path[end])) {
			end++
		}
		to, is := readPoint(path[i+1 : end])
		if !is && command != 'Z' {
			return "", false
		}
		switch command {
		case 'Z':
			out.WriteByte('z')
			to = start
		case 'M':
			start = to
			out.WriteString("m" + to.from(at))
		case 'L':
			out.WriteString("l" + to.from(at))
		}
		at, i = to, end
	}
	return out.String(), true
}

// pathPoint is a point in tenths of a unit.
type pathPoint struct{ x, y int }

func readPoint(text string) (p pathPoint, ok bool) {
	x, y, _ := strings.Cut(text, ",")
	left, err1 := strconv.ParseFloat(x, 64)
	top, err2 := strconv.ParseFloat(y, 64)
	return pathPoint{int(math.Round(left * 10)), int(math.Round(top * 10))}, err1 == nil && err2 == nil
}

// from writes the way from another point.
func (p pathPoint) from(other pathPoint) string {
	y := inTenths(p.y - other.y)
	if y[0] == '-' {
		return inTenths(p.x-other.x) + y
	}
	return inTenths(p.x-other.x) + "," + y
}

// inTenths writes n/10, without a 0 before the point.
func inTenths(n int) string {
	text := strconv.FormatFloat(float64(n)/10, 'f', -1, 64)
	if text == "0" {
		return text
	}
	return strings.Replace(strings.TrimPrefix(text, "0"), "-0", "-", 1)
}
