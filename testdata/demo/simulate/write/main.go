// Command write makes the files of the demo anew. Run it from the top folder of
// the project:
//
//	go run ./testdata/demo/simulate/write
package main

import (
	"fmt"
	"os"

	"beadspan/testdata/demo/simulate"
	"beadspan/testdata/demo/simulate/write/demofiles"
)

func main() {
	if err := demofiles.Write("testdata/demo", simulate.Seed); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
