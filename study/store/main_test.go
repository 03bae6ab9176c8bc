package store_test

import (
	"flag"
	"os"
	"testing"

	"beadspan/study/store/storetest"
)

// TestMain also is the program that TestLoadKilled kills.
func TestMain(m *testing.M) {
	if url := os.Getenv(killedLoadURL); url != "" {
		loadUntilKilled(url)
	}
	// Each trial loads twice, so the usual hundred would take long; -rapid.checks
	// on the command line still has the last word.
	if err := flag.Set("rapid.checks", "30"); err != nil {
		panic(err)
	}
	storetest.Main(m)
}
