package web

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// handIn posts a form with a file in it.
func (b *browser) handIn(path string, fields map[string]string, file string, content []byte) answer {
	b.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, value := range fields {
		require.NoError(b.t, form.WriteField(name, value))
	}
	if content != nil {
		part, err := form.CreateFormFile(file, "file")
		require.NoError(b.t, err)
		_, err = part.Write(content)
		require.NoError(b.t, err)
	}
	require.NoError(b.t, form.Close())
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url+path, &body)
	require.NoError(b.t, err)
	r.Header.Set("Content-Type", form.FormDataContentType())
	return b.ask(r)
}

// aLogo is a picture of one colour, wider than letters need.
func aLogo(t testing.TB) []byte {
	t.Helper()
	picture := image.NewNRGBA(image.Rect(0, 0, 1500, 300))
	for i := range picture.Pix {
		picture.Pix[i] = 0xc0
	}
	picture.Set(7, 7, color.Black)
	var buf bytes.Buffer
	require.NoError(t, png.Encode(&buf, picture))
	return buf.Bytes()
}

// Each shop's letters have its own name and logo; a shop without has the study's.
func TestLetterheads(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	b := x.as(t, "owner")
	north := "/studies/S1/letterheads/" + x.fleet.Shops[0].ID.String()
	any := "/studies/S1/letterheads/" + x.study.ID.String()
	require.Equal(t, http.StatusSeeOther, b.handIn(north, map[string]string{"name": "Bär & Söhne"}, "logo", aLogo(t)).status)
	require.Equal(t, http.StatusSeeOther, b.handIn(any, map[string]string{"name": "Anybody's"}, "", nil).status)
	form := b.get("/studies/S1/letterheads").body
	assert.Contains(t, form, `value="Bär &amp; Söhne"`)
	assert.Contains(t, form, `src="data:image/png;base64,`)

	own, others := b.get(b.keepLetter("V001", "en")).body, b.get(b.keepLetter("V002", "en")).body
	assert.Contains(t, own, "Bär &amp; Söhne")
	assert.Contains(t, own, `<img class="logo" src="data:image/png;base64,`)
	assert.Contains(t, others, "Anybody&#39;s")
	assert.NotContains(t, others, "<img")

	require.Equal(t, http.StatusSeeOther, b.handIn(north, map[string]string{"name": "Bär & Söhne", "no_logo": "yes"}, "", nil).status)
	assert.NotContains(t, b.get("/studies/S1/letterheads").body, "data:image")

	for want, content := range map[string][]byte{
		"the logo is no PNG or JPEG":       []byte("<svg/>"),
		"the logo is larger than 2 MB":     []byte(strings.Repeat("x", 2<<20+1)),
		"the logo can&#39;t be read":       aLogo(t)[:200],
		"expected 100 characters or fewer": nil,
	} {
		name := "as typed"
		if content == nil {
			name = strings.Repeat("x", 101)
		}
		refused := b.handIn(north, map[string]string{"name": name}, "logo", content)
		assert.Equal(t, http.StatusUnprocessableEntity, refused.status, want)
		assert.Contains(t, refused.body, want)
	}
	assert.Equal(t, http.StatusRequestEntityTooLarge, b.handIn(north, nil, "logo", make([]byte, mostLetterheadForm)).status)
	assert.Equal(t, http.StatusNotFound, b.handIn("/studies/S1/letterheads/"+study.NewID().String(), nil, "", nil).status)
}

// FuzzLogo hands in anything as a logo.
func FuzzLogo(f *testing.F) {
	f.Add(aLogo(f))
	f.Add([]byte("\xff\xd8\xff\xe0\x00\x10JFIF"))
	f.Add([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, content []byte) {
		kept, err := logoPNG(content)
		if err != nil {
			var problems study.Problems
			require.ErrorAs(t, err, &problems)
			return
		}
		size, err := png.DecodeConfig(bytes.NewReader(kept))
		require.NoError(t, err)
		assert.LessOrEqual(t, size.Width, 600)
		assert.LessOrEqual(t, size.Height, 230)
	})
}
