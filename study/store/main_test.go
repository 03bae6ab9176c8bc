package store_test

import (
	"os"
	"testing"

	"beadspan/study/store/storetest"
)

// TestMain also is the program that TestLoadKilled kills.
func TestMain(m *testing.M) {
	if url := os.Getenv(killedLoadURL); url != "" {
		loadUntilKilled(url)
	}
	storetest.Main(m)
}
