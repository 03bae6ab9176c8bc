package localpg

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// settingsFile is included by postgresql.conf and written anew at each start.
const settingsFile = "beadspan.conf"

// writeSettings writes the server's configuration: our own needs, then the
// caller's settings, which count because they come later.
func (s *Server) writeSettings() error {
	var conf strings.Builder
	conf.WriteString("# Written at each start. Your own settings go to postgresql.conf, below the include line.\n")
	set := func(name, value string) {
		fmt.Fprintf(&conf, "%s = '%s'\n", name, strings.NewReplacer(`'`, `''`, `\`, `\\`).Replace(value))
	}
	set("listen_addresses", "")
	set("port", fmt.Sprint(s.ownAddress().port))
	// The value is a list, in which a path with a blank needs quotes.
	set("unix_socket_directories", `"`+strings.ReplaceAll(s.ownAddress().dir, `"`, `""`)+`"`)
	set("unix_socket_permissions", "0700")
	// Shared memory by file: systemd removes the other kinds when the user logs
	// out (PostgreSQL manual, 19.4.2 "systemd RemoveIPC"), and containers have
	// little of them.
	set("dynamic_shared_memory_type", "mmap")
	// What a solid state disc needs for a page out of order, beside one in order
	// (PostgreSQL manual, 20.7.2): so that pages are found by index.
	set("random_page_cost", "1.1")
	for _, name := range slices.Sorted(maps.Keys(s.settings)) {
		set(name, s.settings[name])
	}
	file := filepath.Join(s.dataDir(), settingsFile)
	if err := os.WriteFile(file, []byte(conf.String()), 0o600); err != nil {
		return err
	}
	return s.account.own(file)
}
