package web

import (
	"bytes"
	"encoding/json"
	"log/slog"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// statement is one that the database ran, and how.
type statement struct {
	text string
	took time.Duration
	plan planNode
}

// planNode is a step of a plan, as EXPLAIN writes it.
type planNode struct {
	Type     string     `json:"Node Type"`
	Relation string     `json:"Relation Name"`
	Index    string     `json:"Index Name"`
	Rows     float64    `json:"Actual Rows"`
	Loops    float64    `json:"Actual Loops"`
	Hit      int        `json:"Shared Hit Blocks"`
	Read     int        `json:"Shared Read Blocks"`
	Plans    []planNode `json:"Plans"`
}

// each calls do with the step and all below it.
func (n planNode) each(do func(planNode)) {
	do(n)
	for _, below := range n.Plans {
		below.each(do)
	}
}

// explained is a site whose database tells how it runs each statement.
type explained struct {
	*site
	large      study.Study
	largeFleet study.Fleet
	mu         sync.Mutex
	said       bytes.Buffer
}

// newExplained starts a site with the study LARGE, and another beside it. The test is skipped where
// the server has no auto_explain, or the role may not load it.
func newExplained(t testing.TB, vehicles, checkups int) *explained {
	t.Helper()
	address, err := url.Parse(storetest.URL(t))
	require.NoError(t, err)
	plain := address.String()
	query := address.Query()
	for name, value := range map[string]string{"session_preload_libraries": "auto_explain", "client_min_messages": "notice",
		"auto_explain.log_level": "notice", "auto_explain.log_min_duration": "0", "auto_explain.log_analyze": "on",
		"auto_explain.log_buffers": "on", "random_page_cost": "1.1", "auto_explain.log_format": "json"} {
		query.Set(name, value)
	}
	address.RawQuery = query.Encode()
	x := &explained{}
	db, err := store.Open(t.Context(), address.String(), slog.New(slog.NewJSONHandler(x, &slog.HandlerOptions{Level: slog.LevelDebug})))
	if err != nil {
		t.Skip("SKIPPED: this Postgres doesn't load auto_explain, so that plans of statements were not looked at:", err)
	}
	t.Cleanup(db.Close)
	x.site = newSite(t, Options{Store: db})
	x.steward(t, "kw")
	x.large, x.largeFleet = x.addLarge(t, "LARGE", vehicles, checkups)
	x.addLarge(t, "OTHER", vehicles, 0)
	conn, err := pgx.Connect(t.Context(), plain)
	require.NoError(t, err)
	defer conn.Close(t.Context())
	_, err = conn.Exec(t.Context(), `
		INSERT INTO session (token, data, expires_at)
		SELECT 'of the test ' || n, '', now() + interval '1 hour'
		FROM generate_series(1, 5000) n`)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), `
		INSERT INTO letter (vehicle_id, letter_id, dated_on, language, paper, version, pdf, pdf_sha256, page_gzip, made_by)
		SELECT vehicle_id, gen_random_uuid(), now(), 'en', 'a4', 'test', '\x01', sha256(code::bytea), '\x01', account_id
		FROM vehicle_code, account`)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), `
		INSERT INTO share_link (link_sha256, link_id, study_id, vehicle_id, letter_id, made_by, expires_at)
		SELECT sha256(letter_id::text::bytea), gen_random_uuid(), study_id, vehicle_id, letter_id, made_by, now()
		FROM letter JOIN vehicle_code USING (vehicle_id)`)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), `
		INSERT INTO photo (vehicle_id, photo_id, patch_id, taken_on, stage, sent_sha256, sha256, width_px, height_px, large_jpeg, small_jpeg)
		SELECT vehicle_id, gen_random_uuid(), patch_id, now(), 'decon', sha256(''), sha256(''), 640, 480, '\x01', '\x01'
		FROM patch`)
	require.NoError(t, err)
	// Most of what ever waited for a decision has got it.
	_, err = conn.Exec(t.Context(), `
		UPDATE amendment
		SET state = 'accepted', decided_by = (SELECT person_id FROM person LIMIT 1), decided_at = now()
		WHERE label NOT LIKE '%00'`)
	require.NoError(t, err)
	_, err = conn.Exec(t.Context(), `VACUUM (ANALYZE)`)
	require.NoError(t, err)
	return x
}

// Write takes what the database says.
func (x *explained) Write(line []byte) (int, error) {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.said.Write(line)
}

// statements lists those that the database ran since the last call.
func (x *explained) statements(t testing.TB) []statement {
	t.Helper()
	x.mu.Lock()
	defer x.mu.Unlock()
	var list []statement
	for line := range strings.Lines(x.said.String()) {
		var notice struct{ Message string }
		require.NoError(t, json.Unmarshal([]byte(line), &notice))
		took, rest, found := strings.Cut(strings.TrimPrefix(notice.Message, "duration: "), " ms  plan:\n")
		if !found {
			continue
		}
		var plan struct {
			Text string   `json:"Query Text"`
			Plan planNode `json:"Plan"`
		}
		require.NoError(t, json.Unmarshal([]byte(rest), &plan))
		ms, err := strconv.ParseFloat(took, 64)
		require.NoError(t, err)
		list = append(list, statement{strings.TrimSpace(plan.Text), time.Duration(ms * float64(time.Millisecond)), plan.Plan})
	}
	x.said.Reset()
	return list
}

// statementsOf lists the statements of each page, as they are when Postgres has
// settled on a plan for all values, at the sixth time.
func (x *explained) statementsOf(t testing.TB, br *browser, pages map[string]string) map[string][]statement {
	t.Helper()
	all := map[string][]statement{}
	for name, path := range pages {
		for range 7 {
			x.statements(t)
			require.Less(t, br.get(path).status, http.StatusBadRequest, name)
		}
		all[name] = x.statements(t)
	}
	return all
}

// largeTables are those that have a row for each vehicle or more, and what
// pages may add to without end.
var largeTables = []string{"vehicle_code", "vehicle", "patch", "checkup", "reading", "care", "amendment",
	"letter", "photo", "session", "share_link"}

// TestPagesReadByIndex looks at how Postgres runs the statements of each page
// of a study of 2,000 vehicles and 56,000 readings, beside another with as many
// vehicles: no page reads through a table that grows with the vehicles.
func TestPagesReadByIndex(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: no large study is made")
	}
	x := newExplained(t, 2000, 7)
	a := x.member(t, "ng", study.Operator, "NORTH")
	require.NoError(t, x.db.PutMembership(t.Context(), study.Membership{AccountID: a.ID, StudyID: x.large.ID, Role: study.Operator,
		ShopIDs: []study.ID{x.largeFleet.Shops[0].ID}}))
	pages := pagesOfStudy()
	steward, shopOnly := x.as(t, "kw"), x.as(t, "ng")
	for _, name := range []string{"home", "due", "due ahead", "bay.json"} {
		x.ready(t, steward, pages[name])
	}
	x.stop() // no more figures: they read everything, in the background
	for name, list := range x.statementsOf(t, steward, pages) {
		x.requireByIndex(t, name, list)
	}
	delete(pages, "people") // for owners
	for name, list := range x.statementsOf(t, shopOnly, pages) {
		x.requireByIndex(t, name+" of one shop", list)
	}
}

func (x *explained) requireByIndex(t *testing.T, page string, list []statement) {
	t.Helper()
	require.NotEmpty(t, list, page)
	for _, s := range list {
		s.plan.each(func(n planNode) {
			if strings.HasSuffix(n.Type, "Seq Scan") && slices.Contains(largeTables, n.Relation) {
				t.Errorf("%s reads through %s:\n%s", page, n.Relation, s.text)
			}
		})
	}
}

// BenchmarkStatements tells how long the statements of each page take in a study
// of 5,000 vehicles and a million readings.
func BenchmarkStatements(b *testing.B) {
	x := newExplained(b, 5000, 50)
	br := x.as(b, "kw")
	pages := pagesOfStudy()
	for _, name := range []string{"home", "due", "due ahead", "bay.json"} {
		x.ready(b, br, pages[name])
	}
	x.stop()
	var all map[string][]statement
	for b.Loop() {
		all = x.statementsOf(b, br, pages)
	}
	for _, name := range slices.Sorted(maps.Keys(all)) {
		for _, s := range all[name] {
			b.Logf("%-16s %8v %5d blocks  %s", name, s.took.Round(time.Microsecond), s.plan.Hit+s.plan.Read, strings.Join(strings.Fields(s.text), " "))
		}
	}
}

// ready asks for a page until its figures are there.
func (x *explained) ready(t testing.TB, br *browser, path string) {
	t.Helper()
	require.Eventually(t, func() bool {
		a := br.get(path)
		return a.status != http.StatusAccepted && !strings.Contains(a.body, "data-wait")
	}, 10*time.Minute, 100*time.Millisecond)
}
