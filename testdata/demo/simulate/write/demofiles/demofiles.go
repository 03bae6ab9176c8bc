// Package demofiles writes the simulated study as the files of the demo: the
// log, with a column that the log's format doesn't know, the truth that
// generated it, and a README.
package demofiles

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"

	"beadspan/ingest"
	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// Write simulates the study and writes its files into the folder dir.
func Write(dir string, seed uint64) error {
	demo := simulate.New(seed)
	if err := ingest.WriteLog(dir, demo.Fleet); err != nil {
		return err
	}
	if err := addWeather(filepath.Join(dir, "checkups.csv"), seed, demo.Fleet); err != nil {
		return err
	}
	if err := writeTruth(filepath.Join(dir, "truth.csv"), simulate.Truths(seed)); err != nil {
		return err
	}
	return writeReadme(filepath.Join(dir, "README.md"), seed, demo)
}

// addWeather adds a column of somebody's own to the checkups.
func addWeather(name string, seed uint64, fleet study.Fleet) error {
	rows, err := readCSV(name)
	if err != nil {
		return err
	}
	siteOf := sitesByVehicle(fleet)
	rows[0] = append(rows[0], "weather")
	for i, row := range rows[1:] {
		day, err := study.ParseDay(row[1]) // vehicle, date, …
		if err != nil {
			return fmt.Errorf("%s, row %d: %w", name, i+2, err)
		}
		rows[i+1] = append(row, simulate.Weather(seed, siteOf[row[0]], day))
	}
	return writeCSV(name, rows)
}

func sitesByVehicle(fleet study.Fleet) map[string]string {
	codes := map[study.ID]string{}
	for _, s := range fleet.Sites {
		codes[s.ID] = s.Code
	}
	sites := map[string]string{}
	for _, v := range fleet.Vehicles {
		sites[v.Code] = codes[v.SiteID]
	}
	return sites
}

// writeTruth writes shares to four decimals and months to three, which is more
// than their errors, in the columns ending in _se, allow.
func writeTruth(name string, truths []simulate.Truth) error {
	rows := [][]string{{"coating", "climate", "median_life_months", "median_life_months_se",
		"s_12_months", "s_12_months_se", "s_24_months", "s_24_months_se"}}
	for _, t := range truths {
		rows = append(rows, []string{t.Coating, t.Climate,
			fmt.Sprintf("%.3f", t.MedianLifeMonths), fmt.Sprintf("%.3f", t.MedianSE),
			fmt.Sprintf("%.4f", t.S12), fmt.Sprintf("%.4f", t.S12SE),
			fmt.Sprintf("%.4f", t.S24), fmt.Sprintf("%.4f", t.S24SE)})
	}
	return writeCSV(name, rows)
}

func readCSV(name string) ([][]string, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return csv.NewReader(file).ReadAll()
}

func writeCSV(name string, rows [][]string) error {
	file, err := os.Create(name)
	if err != nil {
		return err
	}
	if err := csv.NewWriter(file).WriteAll(rows); err != nil {
		file.Close()
		return fmt.Errorf("write %s: %w", name, err)
	}
	return file.Close()
}
