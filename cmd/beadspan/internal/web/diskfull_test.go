package web

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// ownDatabase is a site with a way past it into its database.
func ownDatabase(t *testing.T) (*site, *pgx.Conn) {
	t.Helper()
	address := storetest.URL(t)
	db, err := store.Open(t.Context(), address, slog.New(slog.DiscardHandler))
	require.NoError(t, err)
	t.Cleanup(db.Close)
	conn, err := pgx.Connect(t.Context(), address)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close(context.Background()) })
	return newSite(t, Options{Store: db}), conn
}

// refusesFor has the database refuse rows of a table as it does on a full disk,
// with SQLSTATE 53100: PostgreSQL 15, appendix A. The result gives it room.
func refusesFor(t *testing.T, conn *pgx.Conn, table string) (room func()) {
	t.Helper()
	do := func(sql string) {
		t.Helper()
		_, err := conn.Exec(t.Context(), sql)
		require.NoError(t, err)
	}
	do(`CREATE OR REPLACE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS $$
		BEGIN
			RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = '53100';
		END $$`)
	do(`CREATE TRIGGER no_room BEFORE INSERT ON ` + table + ` FOR EACH ROW EXECUTE FUNCTION no_room()`)
	return func() { do(`DROP TRIGGER no_room ON ` + table) }
}

// Whatever would be stored on a full disk is refused whole, and said so: on a
// page, to a phone and to a program. With room again it is stored, once.
func TestDiskIsFull(t *testing.T) {
	t.Parallel()
	x, conn := ownDatabase(t)
	x.member(t, "owner", study.Owner)
	b := x.as(t, "owner")
	form := url.Values{"code": {"K-20"}}
	room := refusesFor(t, conn, "coating")
	refused := b.post("/studies/S1/set-up/coatings", form)
	assert.Equal(t, http.StatusInsufficientStorage, refused.status)
	assert.Contains(t, refused.body, "disk is full")
	assert.Equal(t, http.StatusOK, b.get("/studies/S1/set-up").status, "what is there is still read")
	room()
	assert.Equal(t, http.StatusSeeOther, b.post("/studies/S1/set-up/coatings", form).status)

	visit := aVisit()
	room = refusesFor(t, conn, "checkup")
	told := b.sendJSON("/studies/S1/visits", visit)
	assert.Equal(t, http.StatusInsufficientStorage, told.status)
	assert.JSONEq(t, `{"message":"`+languages[0].text("fault.disk_full")+`"}`, told.body)
	require.Len(t, x.stored(t, "V001").Care, 1, "not even the visit's care is stored")
	room()
	assert.Equal(t, "stored", resultOf(t, b.sendJSON("/studies/S1/visits", visit)).Result)
	assert.Equal(t, "known", resultOf(t, b.sendJSON("/studies/S1/visits", visit)).Result)
}

// The disk really is full: photos go to one of a megabyte.
func TestPhotosOnAFullDisk(t *testing.T) {
	x, conn := ownDatabase(t)
	x.member(t, "bay", study.Operator)
	b := x.as(t, "bay")
	disk := smallDisk(t, conn)
	exec := func(sql string) {
		t.Helper()
		_, err := conn.Exec(context.Background(), sql)
		require.NoError(t, err, sql)
	}
	exec(`CREATE TABLESPACE small LOCATION '` + disk + `'`)
	t.Cleanup(func() {
		exec(`DROP TABLE photo`)
		exec(`DROP TABLESPACE small`)
	})
	exec(`ALTER TABLE photo SET TABLESPACE small`)

	var taken []url.Values
	var refused url.Values
	for seed := byte(0); refused == nil && seed < study.MostPhotosAtStage; seed++ {
		query := sentPhoto("V001")
		switch a := b.sendPhoto(query, noise(t, seed)); a.status {
		case http.StatusOK:
			taken = append(taken, query)
		case http.StatusInsufficientStorage:
			refused = query
			assert.Contains(t, a.body, "disk is full")
		default:
			require.Fail(t, a.body)
		}
	}
	require.NotEmpty(t, taken, "some fit")
	require.NotNil(t, refused, "and not all")
	assert.Len(t, x.keptPhotos(t), len(taken), "nothing half stored")
	at := "/studies/S1/vehicles/V001/photos/"
	assert.Equal(t, http.StatusOK, b.get(at+taken[0].Get("id")+"/large.jpg").status)

	exec(`ALTER TABLE photo SET TABLESPACE pg_default`) // somebody makes room
	assert.JSONEq(t, `{"result":"stored"}`, b.sendPhoto(refused, noise(t, byte(len(taken)))).body)
	assert.JSONEq(t, `{"result":"known"}`, b.sendPhoto(taken[0], noise(t, 0)).body)
	assert.Len(t, x.keptPhotos(t), len(taken)+1)
}

// noise is a picture that nothing compresses, of some 300 kB.
func noise(t *testing.T, seed byte) []byte {
	t.Helper()
	picture := image.NewGray(image.Rect(0, 0, 600, 600))
	_, err := rand.NewChaCha8([32]byte{seed}).Read(picture.Pix)
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, picture, &jpeg.Options{Quality: 90}))
	return out.Bytes()
}

// smallDisk mounts a disk of a megabyte where the database's server may write,
// until the test ends. Where that isn't allowed the test is skipped, and says so.
func smallDisk(t *testing.T, conn *pgx.Conn) string {
	t.Helper()
	var data string
	require.NoError(t, conn.QueryRow(t.Context(), `SHOW data_directory`).Scan(&data))
	dir, err := os.MkdirTemp("", "beadspan-small-")
	require.NoError(t, err)
	t.Cleanup(func() { _ = os.Remove(dir) })
	info, err := os.Stat(data)
	if err != nil {
		t.Skipf("SKIPPED: the database's server isn't on this machine (%v): a full disk was not tried", err)
	}
	owner, is := info.Sys().(*syscall.Stat_t)
	require.True(t, is)
	options := fmt.Sprintf("size=1m,mode=0700,uid=%d,gid=%d", owner.Uid, owner.Gid)
	if out, err := exec.CommandContext(t.Context(), "mount", "-t", "tmpfs", "-o", options, "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("SKIPPED: this account can't mount a small disk (%v: %s): a full disk was not tried", err, out)
	}
	t.Cleanup(func() { assert.NoError(t, exec.Command("umount", dir).Run()) })
	return dir
}
