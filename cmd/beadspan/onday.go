package main

import (
	"time"

	"beadspan/study"
)

// dayAsked is the day that a command's --on names; today where it names none.
func dayAsked(command, on string) (study.Day, error) {
	if on == "" {
		return study.DayOfTime(time.Now()), nil
	}
	day, err := study.ParseDay(on)
	if err != nil {
		return 0, usageError(command + ": --on: " + err.Error())
	}
	return day, nil
}
