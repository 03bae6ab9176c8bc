package reports

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // logos may be
	_ "image/png"
	"io"

	xdraw "golang.org/x/image/draw"
)

// What a logo may be at most.
const (
	mostLogoBytes  = 2 << 20
	mostLogoPixels = 4 << 20
)

// A logo is drawn in a box of this size, of points of 1/72 inch, with so many
// points of its own along each: 360 to the inch, enough for print, and little
// enough for hundreds of letters.
const (
	logoWidth, logoHeight = 120, 46
	logoGrain             = 5
)

// ReadLogo reads a shop's own logo, a PNG or JPEG of up to 2 MB and 4 million
// points, made as small as print allows. What isn't is ErrOptions, with what to do
// about it.
func ReadLogo(r io.Reader) (image.Image, error) {
	content, err := io.ReadAll(io.LimitReader(r, mostLogoBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read logo: %w", err)
	}
	if len(content) > mostLogoBytes {
		return nil, fmt.Errorf("%w: the logo is larger than 2 MB; save it smaller", ErrOptions)
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("%w: the logo is no PNG or JPEG; save a drawing such as SVG as PNG", ErrOptions)
	}
	if config.Width < 1 || config.Height < 1 || config.Width > mostLogoPixels/config.Height {
		return nil, fmt.Errorf("%w: the logo has %d × %d points, expected 4 million at most; save it smaller", ErrOptions, config.Width, config.Height)
	}
	logo, _, err := image.Decode(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("%w: the logo can't be read: %v", ErrOptions, err)
	}
	return plainLogo(logo), nil
}

// plainLogo is a logo of one kind of points, of eight bits, which the writers of
// PDF all know, and no larger than it is drawn.
func plainLogo(logo image.Image) image.Image {
	size := logo.Bounds().Size()
	most := min(float64(logoGrain*logoWidth)/float64(size.X), float64(logoGrain*logoHeight)/float64(size.Y))
	if most >= 1 {
		plain := image.NewNRGBA(image.Rectangle{Max: size})
		draw.Draw(plain, plain.Bounds(), logo, logo.Bounds().Min, draw.Src)
		return plain
	}
	smaller := image.Rect(0, 0, max(1, int(most*float64(size.X))), max(1, int(most*float64(size.Y))))
	plain := image.NewNRGBA(smaller)
	xdraw.CatmullRom.Scale(plain, smaller, logo, logo.Bounds(), xdraw.Src, nil)
	return plain
}
