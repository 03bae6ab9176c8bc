package study

import "time"

// Photo is a picture of a patch at a visit, kept to be looked at: nothing is
// measured from it and no standing follows from it.
type Photo struct {
	ID      ID
	PatchID ID
	Day     Day
	Stage   Stage
	// AccountID is who took it; nil where nobody knows any more.
	AccountID *ID
	Picture
}

// Picture is what is kept of a photo: nothing but the picture itself, without
// whatever a camera wrote beside it.
type Picture struct {
	Large    []byte // JPEG, at most MostPhotoPx wide and high
	Small    []byte // JPEG, for lists
	WidthPx  int    // of Large
	HeightPx int
	// SentSHA256 is the hash of what was sent, by which the same photo sent twice
	// is known.
	SentSHA256 [32]byte
}

// The bounds of photos. Whoever sends one shrinks it first: a phone's camera
// makes pictures of ten times the size that anybody looks at.
const (
	MostPhotoPx        = 1600      // width and height of the kept picture
	MostPhotoBytes     = 1_000_000 // of the kept picture
	MostSmallBytes     = 100_000   // of the one for lists
	MostPhotosAtStage  = 6         // of a patch on one day
	MostPhotosOfPatch  = 200
	MostSentPhotoBytes = 4_000_000
)

// KeptPhoto is what a list tells of a stored photo.
type KeptPhoto struct {
	ID       ID
	Vehicle  string // code
	Patch    string // code
	Panel    string
	Day      Day
	Stage    Stage
	By       string // name of the account that took it; empty where nobody knows
	WidthPx  int
	HeightPx int
	Bytes    int // of the picture
	SHA256   [32]byte
	Taken    time.Time // when it was stored
}

// SmallPx is the width or height of the small picture, whichever is larger.
const SmallPx = 320

// SmallSize is the width and height of the small picture, in pixels: none is
// larger than the kept one.
func (k KeptPhoto) SmallSize() (width, height int) {
	width, height = k.WidthPx, k.HeightPx
	if longer := max(width, height); longer > SmallPx {
		width, height = max(1, width*SmallPx/longer), max(1, height*SmallPx/longer)
	}
	return width, height
}

// Validate says what is wrong with p, apart from its picture.
func (p Photo) Validate() Problems {
	var ps Problems
	oneOf(&ps, "stage", p.Stage, Stages())
	if len(p.Large) == 0 || len(p.Large) > MostPhotoBytes || len(p.Small) == 0 || len(p.Small) > MostSmallBytes {
		ps.add("photo", "", "expected a picture of 1 MB or less")
	}
	if p.WidthPx < 1 || p.HeightPx < 1 || p.WidthPx > MostPhotoPx || p.HeightPx > MostPhotoPx {
		ps.add("photo", "", "expected a picture of 1600 pixels or less each way")
	}
	return ps
}
