package climate

import "math"

// raster is a grid of cells over the whole Earth: row 0 begins at the north
// pole, column 0 at 180° W.
type raster struct {
	width, height int
}

func (r raster) cellDeg() float64 { return 360 / float64(r.width) }

// cell is the index of the cell that holds a position.
func (r raster) cell(latitudeDeg, longitudeDeg float64) int {
	row := int((90 - latitudeDeg) / r.cellDeg())
	column := int((longitudeDeg + 180) / r.cellDeg())
	return min(row, r.height-1)*r.width + column%r.width // 180° E is 180° W
}

// centre is the position in the middle of a cell.
func (r raster) centre(cell int) (latitudeDeg, longitudeDeg float64) {
	row, column := cell/r.width, cell%r.width
	return 90 - (float64(row)+0.5)*r.cellDeg(), -180 + (float64(column)+0.5)*r.cellDeg()
}

// nearest finds the cell around a position that has something, or else the
// nearest such cell whose centre is within maxKM, and how far that centre is:
// 0 for the position's own cell.
func (r raster) nearest(latitudeDeg, longitudeDeg, maxKM float64, has func(cell int) bool) (cell int, km float64, found bool) {
	own := r.cell(latitudeDeg, longitudeDeg)
	if has(own) {
		return own, 0, true
	}
	// Cells narrow towards the poles, so the search reaches over more of them.
	rows := int(maxKM/(kmPerDeg*r.cellDeg())) + 1
	narrowing := math.Max(0.01, math.Cos(radians(math.Min(90, math.Abs(latitudeDeg)+maxKM/kmPerDeg))))
	columns := min(r.width/2, int(float64(rows)/narrowing)+1)
	km = math.Inf(1)
	for row := max(0, own/r.width-rows); row <= min(r.height-1, own/r.width+rows); row++ {
		for dx := -columns; dx <= columns; dx++ {
			at := row*r.width + (own%r.width+dx+r.width)%r.width
			if !has(at) {
				continue
			}
			lat, lon := r.centre(at)
			if d := distanceKM(latitudeDeg, longitudeDeg, lat, lon); d <= maxKM && d < km {
				cell, km, found = at, d, true
			}
		}
	}
	return cell, km, found
}

// kmPerDeg is the length of a degree of latitude.
const kmPerDeg = 111.2

// distanceKM is the way along the great circle, by the haversine formula.
func distanceKM(lat1, lon1, lat2, lon2 float64) float64 {
	const earthRadiusKM = 6371
	sinLat := math.Sin(radians(lat2-lat1) / 2)
	sinLon := math.Sin(radians(lon2-lon1) / 2)
	h := sinLat*sinLat + math.Cos(radians(lat1))*math.Cos(radians(lat2))*sinLon*sinLon
	return 2 * earthRadiusKM * math.Asin(math.Min(1, math.Sqrt(h)))
}
