package main

import (
	"time"

	"github.com/schollz/progressbar/v3"
)

// progress draws a bar on a terminal and is silent elsewhere: a bar's carriage
// returns are noise in a file.
type progress struct{ bar *progressbar.ProgressBar }

func (a *app) progress(what string) progress {
	if !isTerminal(a.err) {
		return progress{}
	}
	return progress{progressbar.NewOptions(1,
		progressbar.OptionSetWriter(a.err),
		progressbar.OptionSetDescription(what),
		progressbar.OptionSetWidth(30),
		progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionClearOnFinish(),
	)}
}

func (p progress) set(done, total int64) {
	if p.bar != nil {
		p.bar.ChangeMax64(total)
		_ = p.bar.Set64(done) // a bar that can't be drawn is not worth failing for
	}
}

func (p progress) done() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}

// count draws how many of the work's parts are done.
func (p progress) count(done, total int) { p.set(int64(done), int64(total)) }
