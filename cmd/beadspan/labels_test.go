package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

func TestLabels(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	file := filepath.Join(t.TempDir(), "labels.html")
	assert.Contains(t, must(t, "labels", "--at", "https://shop.example", "--out", file, url), "1 label")
	page, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(page), "<strong>V-001</strong>"))
	assert.NotContains(t, string(page), "http", "the page needs no network")

	assert.Contains(t, beadspan(t, "labels", "--at", "https://shop.example", "V-001", "V-002", url).err, "has no vehicle V-002")
	for _, at := range []string{"shop.example", "ftp://shop.example", "https://shop.example/bay", "https://"} {
		r := beadspan(t, "labels", "--at", at, url)
		assert.Equal(t, exitUsage, r.code, at)
		assert.Contains(t, r.err, "expected an address without a path", at)
	}
}
