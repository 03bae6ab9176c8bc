package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
	"beadspan/testdata"
)

// asProgram names the variable that makes this test binary be the program, for
// tests that kill it.
const asProgram = "BEADSPAN_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	// What the person at the machine has set must not reach the tests.
	for _, name := range []string{"BEADSPAN_DATABASE_URL", "BEADSPAN_DATA_DIR"} {
		os.Unsetenv(name)
	}
	storetest.Main(m)
}

// result is what a command printed, and its exit code.
type result struct {
	out, err string
	code     int
}

// beadspan runs the program within this process.
func beadspan(t *testing.T, args ...string) result {
	t.Helper()
	var out, errOut bytes.Buffer
	code := run(t.Context(), args, &out, &errOut)
	return result{out.String(), errOut.String(), code}
}

// must fails the test unless the command succeeds, and returns what it printed.
func must(t *testing.T, args ...string) string {
	t.Helper()
	r := beadspan(t, args...)
	require.Zero(t, r.code, "beadspan %v: %s%s", args, r.out, r.err)
	return r.out
}

// program is the program as a process of its own.
func program(ctx context.Context, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, os.Args[0], args...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	return cmd
}

// demoLog writes the demo's log into a folder of the test's own.
func demoLog(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, testdata.Demo()))
	require.NoError(t, os.Remove(filepath.Join(dir, "truth.csv")))
	return dir
}

// smallLog writes the log that the README shows.
func smallLog(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{
		"coatings.csv": "code,name,control,claim_low_months,claim_high_months\nK-20,soft coat for film,no,12,24\n",
		"sites.csv":    "code,name,latitude,longitude,climate\nharbour,Harbour lane,53.5,8.6,Cfb\n",
		"vehicles.csv": "code,site,enrolled,garage,km_per_year\nV-001,harbour,2026-03-02,outdoors,14000\n",
		"patches.csv": "vehicle,code,coating,panel,orientation,substrate,finish,applied,layers,keep_dry_h,air_temp_c\n" +
			"V-001,A,K-20,bonnet,horizontal,film,gloss,2026-03-02,2,24,19.5\n",
		"checkups.csv": "vehicle,date,stage,patch,angle_1_deg,angle_2_deg,angle_3_deg,sheet_time_s,wet_share_pct,bead_grade,operator\n" +
			"V-001,2026-04-20,arrival,A,86.5,88,84.5,41,30,3,MK\n" +
			"V-001,2026-04-20,decon,A,104,106.5,105,12,5,5,MK\n",
		"care.csv": "vehicle,date,kind,patch,operator\nV-001,2026-04-20,decon_wash,,MK\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	return dir
}

// rewrite changes one file of a log.
func rewrite(t *testing.T, dir, name string, change func([]byte) []byte) {
	t.Helper()
	path := filepath.Join(dir, name)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	changed := change(text)
	require.NotEqual(t, string(text), string(changed), "nothing was changed")
	require.NoError(t, os.WriteFile(path, changed, fs.FileMode(0o644)))
}
