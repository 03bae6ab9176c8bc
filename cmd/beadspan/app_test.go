package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestHelpHasAnExample(t *testing.T) {
	for _, command := range []string{"demo", "load", "life", "claim", "compare", "due", "letter", "report", "serve", "labels", "study add", "study plan", "amend", "db"} {
		r := beadspan(t, append(strings.Fields(command), "--help")...)
		assert.Zero(t, r.code, command)
		assert.Contains(t, r.out, "Example:", command)
		assert.Contains(t, r.out, "beadspan "+command, "the example of %s is not of it", command)
	}
}

func TestWithoutArgumentsHelps(t *testing.T) {
	r := beadspan(t)
	assert.Zero(t, r.code)
	assert.Contains(t, r.out, "Begin with: beadspan demo")
	assert.Equal(t, result{out: "beadspan " + version + "\n"}, beadspan(t, "--version"))
}

func TestWrongUsage(t *testing.T) {
	url := "--database-url=postgres://nowhere.invalid/x"
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"loda"}, `did you mean "load"`},
		{[]string{"load", "--date", "dmy"}, "unknown flag --date"},
		{[]string{"load", "log", "--dates", "ymd"}, "must be one of"},
		{[]string{"load"}, "name the folder"},
		{[]string{"load", "log", "--demo"}, "demo fleet"},
		{[]string{"life", "--json", "--csv"}, "can't be used together"},
		{[]string{"study", "add", "two words"}, "without spaces"},
		{[]string{"study", "add", "x", "--threshold", "200"}, "0 to 180 degrees"},
		{[]string{"study", "add", "x", "--confirm", "0"}, "1, 2 or 3"},
		{[]string{"amend", "accept", "7", "--by", "MK", "--why", "typo"}, "not an amendment's id"},
		{[]string{"db", "stop", url}, "own tools"},
	} {
		r := beadspan(t, c.args...)
		assert.Equal(t, exitUsage, r.code, "%v", c.args)
		assert.Contains(t, r.err, c.says, "%v", c.args)
		assert.Contains(t, r.err, "Try: beadspan", "%v", c.args)
		assert.Empty(t, r.out, "%v", c.args)
	}
}
