// Beadspan keeps a field study of how long coatings on vehicles stay
// hydrophobic, and tells what the study knows.
//
//	beadspan demo                         see the main job done on an invented fleet
//	beadspan load PATH                    take a log of coating jobs, checkups and care
//	beadspan life                         print how long each coating lasts
//	beadspan decay                        print how the contact angle falls, and what to expect of a vehicle
//	beadspan claim                        hold makers' claims against what the study has seen
//	beadspan climate                      print life by climate, or forecast it for a place
//	beadspan compare                      compare coatings with each other
//	beadspan due                          list what vehicles are due for today
//	beadspan letter VEHICLE               write to a customer about their vehicle, or --due to all
//	beadspan report --out DIR             write the durability report
//	beadspan serve                        the wash bay and the office, in a browser
//	beadspan labels --at ADDRESS          labels by which phones find vehicles
//	beadspan calc km FILE.csv             run the statistics on any CSV file
//	beadspan study add|list               name a study and its protocol
//	beadspan site add|list|climate        keep where vehicles live, and show the climate there
//	beadspan amend list|accept|decline    decide on corrections that loading proposed
//	beadspan db start|stop|status|url|backup|restore|fetch
//
// "beadspan COMMAND --help" explains each with an example. It exits with 0 on
// success, 1 when the work failed and 2 when it was asked wrongly.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
