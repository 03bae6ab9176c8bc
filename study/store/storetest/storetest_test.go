package storetest_test

import (
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// What one test stores no other test sees.
func TestNewIsolates(t *testing.T) {
	first, second := storetest.New(t), storetest.New(t)
	st := study.Study{ID: study.NewID(), Code: "S1", Protocol: study.DefaultProtocol()}
	require.NoError(t, first.AddStudy(t.Context(), st))
	_, err := first.StudyByCode(t.Context(), "S1")
	require.NoError(t, err)
	_, err = second.StudyByCode(t.Context(), "S1")
	require.ErrorIs(t, err, study.ErrNotFound)
}

func TestDatabaseIsDropped(t *testing.T) {
	var url string
	t.Run("test", func(t *testing.T) {
		url = storetest.URL(t)
		conn, err := pgx.Connect(t.Context(), url)
		require.NoError(t, err)
		_ = conn // a connection that a test forgot
	})
	_, err := pgx.Connect(t.Context(), url)
	assert.ErrorContains(t, err, "does not exist")
}

func TestBareHasNoTables(t *testing.T) {
	conn, err := pgx.Connect(t.Context(), storetest.Bare(t))
	require.NoError(t, err)
	defer conn.Close(t.Context())
	var tables int
	require.NoError(t, conn.QueryRow(t.Context(),
		`SELECT count(*) FROM pg_tables WHERE schemaname = 'public'`).Scan(&tables))
	assert.Zero(t, tables)
}
