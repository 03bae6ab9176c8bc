package reports

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // logos may be
	_ "image/png"
	"io"
)

// What a logo may be at most: enough for print, and little enough for hundreds
// of letters.
const (
	mostLogoBytes  = 2 << 20
	mostLogoPixels = 4 << 20
)

// ReadLogo reads a shop's own logo, a PNG or JPEG of up to 2 MB and 4 million
// points. What isn't is ErrOptions, with what to do about it.
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
	// One kind of points, of eight bits, which the writers of PDF all know.
	plain := image.NewNRGBA(image.Rectangle{Max: logo.Bounds().Size()})
	draw.Draw(plain, plain.Bounds(), logo, logo.Bounds().Min, draw.Src)
	return plain, nil
}
