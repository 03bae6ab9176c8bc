package ingest

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"image/jpeg"

	"golang.org/x/image/draw"

	"beadspan/study"
)

// mostSentPixels bounds the memory that decoding takes: a progressive JPEG of
// this many takes about 60 MB, whatever its file says of itself.
const mostSentPixels = 8_000_000

// ReadPhoto reads a JPEG and makes of it what is kept: a picture drawn anew, so
// that neither a camera's notes of place and time nor anything else that rides
// along in the file stays, shrunk to study.MostPhotoPx, and a small one. It is
// kept as it lies in the file: whoever sends a photo turns it upright first.
//
// It returns study.Problems for what is no such picture, is too large, or would
// take too much memory to look at, which is found before that memory is taken.
func ReadPhoto(sent []byte) (study.Picture, error) {
	if len(sent) > study.MostSentPhotoBytes {
		return study.Picture{}, noPhoto(fmt.Sprintf("expected a photo of %d MB or less", study.MostSentPhotoBytes/1_000_000))
	}
	head, err := jpeg.DecodeConfig(bytes.NewReader(sent))
	if err != nil {
		return study.Picture{}, noPhoto("expected a JPEG picture: " + jpegFault(err))
	}
	if head.Width < 1 || head.Height < 1 || head.Width*head.Height > mostSentPixels {
		return study.Picture{}, noPhoto(fmt.Sprintf("expected 8 megapixels or less, not %d × %d: shrink it before sending", head.Width, head.Height))
	}
	whole, err := jpeg.Decode(bytes.NewReader(sent))
	if err != nil {
		return study.Picture{}, noPhoto("expected a whole JPEG picture: " + jpegFault(err))
	}
	p := study.Picture{SentSHA256: sha256.Sum256(sent)}
	if err := keepLarge(&p, whole); err != nil {
		return study.Picture{}, err
	}
	p.Small, err = encoded(shrunk(whole, study.SmallPx), 75)
	if err == nil && len(p.Small) > study.MostSmallBytes {
		p.Small, err = encoded(shrunk(whole, study.SmallPx/2), 60)
	}
	return p, err
}

// keepLarge draws the picture that is kept: finer ones first, until one is small
// enough. At 800 pixels and quality 40 even noise is.
func keepLarge(p *study.Picture, whole image.Image) error {
	for _, side := range []int{study.MostPhotoPx, 1200, 800} {
		picture := shrunk(whole, side)
		for _, quality := range []int{82, 65, 40} {
			large, err := encoded(picture, quality)
			if err != nil {
				return err
			}
			if len(large) <= study.MostPhotoBytes {
				p.Large, p.WidthPx, p.HeightPx = large, picture.Bounds().Dx(), picture.Bounds().Dy()
				return nil
			}
		}
	}
	return noPhoto("expected a picture that can be kept in 1 MB")
}

// shrunk draws the picture so that neither width nor height is more than side.
func shrunk(whole image.Image, side int) image.Image {
	size := whole.Bounds().Size()
	if longer := max(size.X, size.Y); longer > side {
		size.X, size.Y = max(1, size.X*side/longer), max(1, size.Y*side/longer)
	}
	drawn := image.NewRGBA(image.Rectangle{Max: size})
	if size == whole.Bounds().Size() {
		draw.Copy(drawn, image.Point{}, whole, whole.Bounds(), draw.Src, nil)
	} else {
		draw.BiLinear.Scale(drawn, drawn.Bounds(), whole, whole.Bounds(), draw.Src, nil)
	}
	return drawn
}

func encoded(picture image.Image, quality int) ([]byte, error) {
	var out bytes.Buffer
	if err := jpeg.Encode(&out, picture, &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("write a photo: %w", err)
	}
	return out.Bytes(), nil
}

func noPhoto(want string) error { return study.Problems{{Column: "photo", Want: want}} }

// jpegFault says in plain words what is wrong with a file.
func jpegFault(err error) string {
	var unsupported jpeg.UnsupportedError
	if errors.As(err, &unsupported) {
		return "this kind of JPEG can't be read (" + string(unsupported) + ")"
	}
	return "the file is damaged, cut off or of another kind"
}
