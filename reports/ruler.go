package reports

import (
	"strings"
	"sync"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// ruler measures text by its words, and each word once, however often and in
// which size it is set: a page is tried in several sizes until all fits, and
// letters say much the same. Words and blanks aren't drawn together, as they
// aren't in a PDF. It may be used from several goroutines.
type ruler struct {
	text.Handler
	mu    sync.Mutex
	words map[ruledWord]wordBox
}

// mostRuledWords keeps a ruler small, whatever names are measured.
const mostRuledWords = 20_000

type ruledWord struct {
	word   string
	weight xfont.Weight
}

// wordBox is the room that a word takes in the size of 1.
type wordBox struct{ width, height, depth vg.Length }

func newRuler(h text.Handler) *ruler { return &ruler{Handler: h, words: map[ruledWord]wordBox{}} }

// Box is the room that a line takes.
func (r *ruler) Box(line string, f font.Font) (width, height, depth vg.Length) {
	begun := false
	for word := range strings.SplitSeq(line, " ") {
		if begun {
			width += r.unit(" ", f).width
		}
		unit := r.unit(word, f)
		width += unit.width
		height, depth = unit.height, unit.depth
		begun = true
	}
	return width * f.Size, height * f.Size, depth * f.Size
}

// unit is the room that a word takes in the size of 1.
func (r *ruler) unit(word string, f font.Font) wordBox {
	r.mu.Lock()
	defer r.mu.Unlock()
	key := ruledWord{word, f.Weight}
	box, known := r.words[key]
	if !known {
		f.Size = 1
		box.width, box.height, box.depth = r.Handler.Box(word, f)
		if len(r.words) >= mostRuledWords {
			clear(r.words)
		}
		r.words[key] = box
	}
	return box
}
