package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/migrations"
	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/localpg"
)

// phoneQueue sends visits to one vehicle until each is acknowledged, as a phone
// does.
type phoneQueue struct {
	t       *testing.T
	program *program
	vehicle string
	acked   map[study.ID]float64 // the angle of each
	faults  int                  // answers that never came, or asked to come again
}

// client that opens a connection for each call, so that each may be cut.
func cutClient() *http.Client {
	return &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{DisableKeepAlives: true}}
}

// send sends one visit until it is acknowledged.
func (q *phoneQueue) send(ctx context.Context, day study.Day, angle float64) {
	visit := sentByAPI(q.vehicle, day.String(), angle)
	body, err := json.Marshal(visits(visit))
	require.NoError(q.t, err)
	for ctx.Err() == nil {
		result, err := q.once(ctx, body)
		if err == nil {
			assert.Contains(q.t, []string{"stored", "known"}, result)
			q.acked[visit["id"].(study.ID)] = angle
			return
		}
		q.faults++
		time.Sleep(20 * time.Millisecond)
	}
	q.t.Error("a visit was never taken")
}

// once sends it once. What isn't an answer of success or a clear request to come
// again is a failure of the test.
func (q *phoneQueue) once(ctx context.Context, body []byte) (string, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, q.program.url+"/api/studies/S1/visits", bytes.NewReader(body))
	require.NoError(q.t, err)
	r.Header.Set("Authorization", "Bearer "+q.program.token)
	r.Header.Set("Content-Type", "application/json")
	resp, err := q.program.client.Do(r)
	if err != nil {
		return "", err
	}
	defer resp.Body.Close()
	var got struct {
		Detail  string
		Results []struct{ Result string }
	}
	if err := json.NewDecoder(resp.Body).Decode(&got); err != nil {
		return "", err // cut in the middle of the answer
	}
	if resp.StatusCode != http.StatusOK {
		assert.Equal(q.t, http.StatusServiceUnavailable, resp.StatusCode, got.Detail)
		assert.NotEmpty(q.t, resp.Header.Get("Retry-After"))
		assert.Contains(q.t, got.Detail, "send it again")
		return "", fmt.Errorf("status %d", resp.StatusCode)
	}
	return got.Results[0].Result, nil
}

// requireKept checks that all that was acknowledged is in the database, once.
func (q *phoneQueue) requireKept(x *site) {
	q.t.Helper()
	fleet, err := x.db.VehicleByCode(q.t.Context(), store.Scope{StudyID: x.study.ID, EveryShop: true}, q.vehicle)
	require.NoError(q.t, err)
	kept := map[study.ID]float64{}
	for _, c := range fleet.Vehicles[0].Checkups[2:] { // two were there before
		require.Len(q.t, c.Readings, 1)
		kept[c.ID] = c.Readings[0].AnglesDeg[0]
	}
	assert.Equal(q.t, q.acked, kept)
}

// queues are phones that log at the three vehicles at once.
func queues(t *testing.T, x *site, url string, client *http.Client) []*phoneQueue {
	p := x.program(t, x.steward(t, "kw"), study.Operator)
	p.url, p.client = url, client
	var all []*phoneQueue
	for _, code := range []string{"V001", "V002", "V003"} {
		all = append(all, &phoneQueue{t, p, code, map[study.ID]float64{}, 0})
	}
	return all
}

// sendAll sends n visits of each queue.
func sendAll(t *testing.T, all []*phoneQueue, n int, sent *atomic.Int64) {
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	var phones sync.WaitGroup
	for _, q := range all {
		phones.Go(func() {
			for i := range n {
				q.send(ctx, study.DayOf(2025, time.April, 2)+study.Day(i), 90+float64(i)/2)
				sent.Add(1)
			}
		})
	}
	phones.Wait()
}

// On a line that is cut in the middle of requests and answers, every visit is
// stored once.
func TestLineIsCut(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	random := rand.New(rand.NewPCG(1, 2))
	var mu sync.Mutex
	line := newWire(t, strings.TrimPrefix(x.url, "http://"), func() int64 {
		mu.Lock()
		defer mu.Unlock()
		return 1 + random.Int64N(2000) // a call and its answer are about 1,700 bytes
	})
	all := queues(t, x, "http://"+line.listener.Addr().String(), cutClient())
	var sent atomic.Int64
	sendAll(t, all, 12, &sent)
	for _, q := range all {
		q.requireKept(x)
	}
	assert.Greater(t, line.cuts.Load(), int64(10), "the line was hardly cut")
}

// While the database is restarted under load, phones are told to come again,
// and what was acknowledged before and after is there.
func TestDatabaseRestarts(t *testing.T) {
	t.Parallel()
	server, stop, err := localpg.Temporary(t.Context())
	require.NoError(t, err)
	t.Cleanup(stop)
	require.NoError(t, server.CreateDatabase(t.Context(), "faults"))
	require.NoError(t, migrations.Apply(t.Context(), server.URL("faults")))
	db, err := store.Open(t.Context(), server.URL("faults"), slog.New(slog.DiscardHandler))
	require.NoError(t, err)
	t.Cleanup(db.Close)
	x := newSite(t, Options{Store: db})
	all := queues(t, x, x.url, cutClient())
	var sent atomic.Int64
	var restarts sync.WaitGroup
	restarts.Go(func() {
		for _, after := range []int64{10, 25} {
			assert.Eventually(t, func() bool { return sent.Load() >= after }, time.Minute, 5*time.Millisecond)
			assert.NoError(t, server.Stop(context.WithoutCancel(t.Context())))
			time.Sleep(300 * time.Millisecond)
			assert.NoError(t, server.Start(context.WithoutCancel(t.Context())))
		}
	})
	sendAll(t, all, 15, &sent)
	restarts.Wait()
	faults := 0
	for _, q := range all {
		q.requireKept(x)
		faults += q.faults
	}
	assert.Positive(t, faults, "nobody noticed that the database was away")
}

// Of two phones that send other content for the same visit at once, one is
// stored and the other waits to be decided: neither is lost.
func TestTwoPhonesAtOneVisit(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	p := x.program(t, x.steward(t, "kw"), study.Operator)
	for i := range 5 {
		id, day := study.NewID(), (study.DayOf(2025, time.April, 2) + study.Day(i)).String()
		results := make([]string, 2)
		var phones sync.WaitGroup
		for phone, angle := range []float64{101, 55} {
			visit := sentByAPI("V001", day, angle)
			visit["id"] = id
			phones.Go(func() { results[phone] = p.call(http.MethodPost, "/studies/S1/visits", visits(visit)).results()[0] })
		}
		phones.Wait()
		assert.ElementsMatch(t, []string{"stored", "proposed"}, results)
	}
	waiting, err := x.db.Amendments(t.Context(), x.study.ID, study.Proposed)
	require.NoError(t, err)
	assert.Len(t, waiting, 5)
	for _, a := range waiting {
		require.Len(t, a.Changes, 1)
		assert.ElementsMatch(t, []string{"[101]", "[55]"}, []string{a.Changes[0].Before, a.Changes[0].After})
	}
}
