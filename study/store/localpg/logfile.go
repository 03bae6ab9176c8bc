package localpg

import (
	"io"
	"os"
	"strings"
)

// prepareLog makes the log file that the server appends to, puts a large one
// aside as .old, and returns the size it begins with.
func (s *Server) prepareLog() (size int64, err error) {
	name := s.logFile()
	if info, err := os.Stat(name); err == nil && info.Size() > logLimit {
		if err := os.Rename(name, name+".old"); err != nil {
			return 0, err
		}
	}
	file, err := os.OpenFile(name, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return 0, err
	}
	defer file.Close()
	if err := s.account.own(name); err != nil {
		return 0, err
	}
	info, err := file.Stat()
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}

// logSince is what the server logged after the first before bytes, at most the
// first 64 kB of it. A log that cannot be read is as good as an empty one.
func (s *Server) logSince(before int64) string {
	file, err := os.Open(s.logFile())
	if err != nil {
		return ""
	}
	defer file.Close()
	text, _ := io.ReadAll(io.NewSectionReader(file, before, 64<<10))
	return string(text)
}

// lastLines is the last few lines of text in one, or what to say of none.
func lastLines(text string) string {
	lines := strings.FieldsFunc(text, func(r rune) bool { return r == '\n' })
	if len(lines) == 0 {
		return "nothing"
	}
	return strings.Join(lines[max(0, len(lines)-6):], " | ")
}
