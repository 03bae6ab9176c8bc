package climate

import (
	"bytes"
	"compress/gzip"
	"embed"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"io"

	"golang.org/x/image/tiff"
	"golang.org/x/sync/errgroup"

	"beadspan/study"
)

//go:embed data/koppen_geiger_1991_2020_0p1.tif data/temp_normals_1991_2020_0p5.i16le.gz data/cities_50k.csv
var data embed.FS

// Credits names the sources of an Atlas and what was changed. They must stand
// wherever something from it is shown.
func Credits() []string {
	return []string{
		"Climate classes: Beck et al., Scientific Data 10 (2023) 724, CC BY 4.0.",
		"Mean temperatures 1991-2020: data provided by the NOAA PSL, Boulder, Colorado, USA (GHCN_CAMS; Fan and van den Dool 2008); changed: °C, rounded, impossible values left out.",
		"Cities: GeoNames, CC BY 4.0; those of 50,000 people or more.",
	}
}

// Atlas is the open data that the package brings: the map of Köppen-Geiger
// classes, mean temperatures, and cities.
type Atlas struct {
	classMap raster
	classes  []uint8 // 0 is none, else 1 + the index in study.KoppenClasses
	tempMap  raster
	temps    []int16 // tenths of °C; by month, then cell
	cities   []City
	folded   []string // names of the cities, folded
}

// Spot is what the maps say of a position.
type Spot struct {
	Class   string // Köppen-Geiger class
	ClassKM float64
	// MeanTempC has the mean temperatures of a cell about 55 km wide.
	MeanTempC Monthly
	TempKM    float64
	// The KM fields say how far off the middle of the cell is that was taken:
	// 0 for the position's own, more on coasts.
}

// ErrNoLand says that no land is near a position.
var ErrNoLand = errors.New("no land within 150 km")

// coastKM is how far a position may be from the next cell of land.
const coastKM = 150

// OpenAtlas reads the data, which takes about a tenth of a second.
func OpenAtlas() (*Atlas, error) {
	a := &Atlas{}
	var reading errgroup.Group // each fills its own fields
	reading.Go(a.readClasses)
	reading.Go(a.readTemps)
	reading.Go(a.readCities)
	if err := reading.Wait(); err != nil {
		return nil, fmt.Errorf("open the climate data: %w", err)
	}
	return a, nil
}

// At looks a position up. On a coast it takes the nearest cell of land; it
// returns ErrNoLand at sea, and where the maps have nothing.
func (a *Atlas) At(latitudeDeg, longitudeDeg float64) (Spot, error) {
	if ps := (Place{LatitudeDeg: latitudeDeg, LongitudeDeg: longitudeDeg}).Validate(); len(ps) > 0 {
		return Spot{}, ps
	}
	if longitudeDeg == 180 {
		longitudeDeg = -180 // the same place
	}
	class, classKM, known := a.classMap.nearest(latitudeDeg, longitudeDeg, coastKM,
		func(cell int) bool { return a.classes[cell] != 0 })
	temp, tempKM, measured := a.tempMap.nearest(latitudeDeg, longitudeDeg, coastKM,
		func(cell int) bool { return a.temps[cell] != noTemp })
	if !known || !measured {
		return Spot{}, fmt.Errorf("look up %.3f°, %.3f°: %w", latitudeDeg, longitudeDeg, ErrNoLand)
	}
	s := Spot{Class: study.KoppenClasses()[a.classes[class]-1], ClassKM: classKM, TempKM: tempKM}
	cells := a.tempMap.width * a.tempMap.height
	for month := range s.MeanTempC {
		s.MeanTempC[month] = float64(a.temps[month*cells+temp]) / 10
	}
	return s, nil
}

func (a *Atlas) readClasses() error {
	text, err := data.ReadFile("data/koppen_geiger_1991_2020_0p1.tif")
	if err != nil {
		return err
	}
	picture, err := tiff.Decode(bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("decode the map of classes: %w", err)
	}
	gray, is := picture.(*image.Gray)
	if !is || gray.Rect.Dx() != 3600 || gray.Rect.Dy() != 1800 || gray.Stride != 3600 {
		return fmt.Errorf("the map of classes is no gray picture of 3600 by 1800")
	}
	a.classMap, a.classes = raster{3600, 1800}, gray.Pix
	return nil
}

// noTemp marks cells without a temperature, in all months.
const noTemp = -32768

func (a *Atlas) readTemps() error {
	file, err := data.Open("data/temp_normals_1991_2020_0p5.i16le.gz")
	if err != nil {
		return err
	}
	defer file.Close()
	packed, err := gzip.NewReader(file)
	if err != nil {
		return fmt.Errorf("unpack the temperatures: %w", err)
	}
	text, err := io.ReadAll(packed)
	if err != nil {
		return fmt.Errorf("unpack the temperatures: %w", err)
	}
	a.tempMap = raster{720, 360}
	if len(text) != 12*a.tempMap.width*a.tempMap.height*2 {
		return fmt.Errorf("the temperatures are %d bytes long", len(text))
	}
	a.temps = make([]int16, len(text)/2)
	for i := range a.temps {
		a.temps[i] = int16(binary.LittleEndian.Uint16(text[2*i:]))
	}
	return nil
}
