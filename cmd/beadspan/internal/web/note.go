package web

import "context"

// requestNote is what a request's handler tells the log of it.
type requestNote struct {
	route   string
	account string
	trouble error // that was answered for and that somebody has to look after; nil: none
}

type noteKey struct{}

func withNote(ctx context.Context, n *requestNote) context.Context {
	return context.WithValue(ctx, noteKey{}, n)
}

func noteOf(ctx context.Context) *requestNote {
	if n, has := ctx.Value(noteKey{}).(*requestNote); has {
		return n
	}
	return &requestNote{}
}
