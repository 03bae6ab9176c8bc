package localpg

import (
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Whatever tables are called, each has its own place in an archive, and one
// that zip.Reader.Open accepts, which wants names that fs.ValidPath accepts.
func TestEntriesAreValidAndDiffer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[a./\\% "é]{1,5}`)
		one := table{Schema: name.Draw(t, "schema"), Name: name.Draw(t, "name")}
		other := table{Schema: name.Draw(t, "other schema"), Name: name.Draw(t, "other name")}
		require.True(t, fs.ValidPath(one.entry()), one.entry())
		same := one.Schema == other.Schema && one.Name == other.Name
		assert.Equal(t, same, one.entry() == other.entry())
	})
}
