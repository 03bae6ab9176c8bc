package ingest_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/ingest"
	"beadspan/study"
)

// jpegOf encodes a picture of the size, whose colour runs from left to right.
func jpegOf(t testing.TB, width, height int) []byte {
	t.Helper()
	picture := image.NewRGBA(image.Rect(0, 0, width, height))
	for x := range width {
		for y := range height {
			picture.Set(x, y, color.RGBA{uint8(255 * x / width), 120, uint8(255 * y / height), 255})
		}
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, picture, nil))
	return out.Bytes()
}

// withExif puts a segment APP1 with a camera's notes behind the start of the
// image, as JEITA CP-3451 (Exif 2.3) §4.5.4 has it: FF E1, length, "Exif", 0 0.
func withExif(picture []byte, notes string) []byte {
	segment := append([]byte{0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(2+6+len(notes)))...)
	segment = append(segment, "Exif\x00\x00"+notes...)
	return append(append(append([]byte{}, picture[:2]...), segment...), picture[2:]...)
}

func TestReadPhotoKeepsThePictureAlone(t *testing.T) {
	t.Parallel()
	sent := withExif(jpegOf(t, 2000, 1000), "GPS 53.5 N 8.6 E")
	sent = append(sent, "<script>something behind the picture</script>"...)
	p, err := ingest.ReadPhoto(sent)
	require.NoError(t, err)
	assert.Equal(t, [2]int{1600, 800}, [2]int{p.WidthPx, p.HeightPx})
	for _, kept := range [][]byte{p.Large, p.Small} {
		assert.NotContains(t, string(kept), "Exif")
		assert.NotContains(t, string(kept), "GPS")
		assert.NotContains(t, string(kept), "script")
	}
	large, err := jpeg.Decode(bytes.NewReader(p.Large))
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 1600, 800), large.Bounds())
	r, _, b, _ := large.At(1599, 0).RGBA()
	assert.InDelta(t, 255, r>>8, 6, "right of the top row, as it was painted")
	assert.InDelta(t, 0, b>>8, 6)
	small, err := jpeg.DecodeConfig(bytes.NewReader(p.Small))
	require.NoError(t, err)
	assert.Equal(t, [2]int{320, 160}, [2]int{small.Width, small.Height})
	assert.Less(t, len(p.Small), 20_000)

	again, err := ingest.ReadPhoto(sent)
	require.NoError(t, err)
	assert.Equal(t, p, again, "the same photo is kept as the same bytes")
}

// Small ones stay as they are, and narrow ones keep a pixel.
func TestReadPhotoSizes(t *testing.T) {
	t.Parallel()
	for size, want := range map[[2]int][2]int{
		{1600, 1600}: {1600, 1600}, {1, 1}: {1, 1}, {3, 3000}: {1, 1600}, {1601, 800}: {1600, 799}, {640, 480}: {640, 480},
	} {
		p, err := ingest.ReadPhoto(jpegOf(t, size[0], size[1]))
		require.NoError(t, err, size)
		assert.Equal(t, want, [2]int{p.WidthPx, p.HeightPx}, size)
		assert.Empty(t, study.Photo{Stage: study.Washed, Picture: p}.Validate(), size)
	}
}

// Nothing compresses noise: it is kept smaller.
func TestReadPhotoOfNoise(t *testing.T) {
	t.Parallel()
	picture := image.NewRGBA(image.Rect(0, 0, 1600, 1600))
	random := rand.NewChaCha8([32]byte{1})
	_, err := random.Read(picture.Pix)
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, picture, &jpeg.Options{Quality: 90}))
	require.LessOrEqual(t, out.Len(), study.MostSentPhotoBytes)
	p, err := ingest.ReadPhoto(out.Bytes())
	require.NoError(t, err)
	assert.LessOrEqual(t, len(p.Large), study.MostPhotoBytes)
	assert.LessOrEqual(t, len(p.Small), study.MostSmallBytes)
}

// A file may say that it is a picture of 65,535 pixels each way, which would
// take gigabytes: it is refused by what it says. Where the numbers stand: ITU-T
// T.81 (1992) B.2.2, behind the marker SOF0, FF C0.
func TestReadPhotoRefuses(t *testing.T) {
	t.Parallel()
	good := jpegOf(t, 64, 64)
	bomb := bytes.Clone(good)
	frame := bytes.Index(bomb, []byte{0xff, 0xc0})
	for i := range 4 {
		bomb[frame+5+i] = 0xff
	}
	var asPNG bytes.Buffer
	require.NoError(t, png.Encode(&asPNG, image.NewGray(image.Rect(0, 0, 8, 8))))
	for want, sent := range map[string][]byte{
		"8 megapixels or less, not 65535 × 65535": bomb,
		"expected a JPEG picture":                 asPNG.Bytes(),
		"expected a whole JPEG picture":           good[:len(good)-20],
		"damaged, cut off or of another kind":     nil,
		"4 MB or less":                            make([]byte, study.MostSentPhotoBytes+1),
	} {
		_, err := ingest.ReadPhoto(sent)
		var problems study.Problems
		require.ErrorAs(t, err, &problems, want)
		assert.ErrorContains(t, err, want)
	}
	_, err := ingest.ReadPhoto([]byte("<svg onload=alert(1)>"))
	assert.ErrorContains(t, err, "expected a JPEG picture")
}

// FuzzReadPhoto: whatever is sent, there is a picture within its bounds or an
// error that says what is wrong.
func FuzzReadPhoto(f *testing.F) {
	f.Add(jpegOf(f, 40, 30))
	f.Add(withExif(jpegOf(f, 8, 8), "x"))
	f.Add([]byte{0xff, 0xd8, 0xff})
	f.Fuzz(func(t *testing.T, sent []byte) {
		p, err := ingest.ReadPhoto(sent)
		if err != nil {
			require.ErrorAs(t, err, new(study.Problems))
			return
		}
		assert.Empty(t, study.Photo{Stage: study.Washed, Picture: p}.Validate())
	})
}

func BenchmarkReadPhoto(b *testing.B) {
	sent := jpegOf(b, 1600, 1200)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ingest.ReadPhoto(sent); err != nil {
			b.Fatal(err)
		}
	}
}
