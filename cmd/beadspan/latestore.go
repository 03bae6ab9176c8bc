package main

import (
	"context"
	"errors"

	"beadspan/study"
	"beadspan/study/store"
)

// lateStore opens the records when they are first asked for, so that a log
// that is wrong by itself is refused without starting a server.
type lateStore struct {
	open  func(context.Context) (*store.Store, error)
	store *store.Store
}

func (l *lateStore) get(ctx context.Context) (*store.Store, error) {
	if l.store == nil {
		s, err := l.open(ctx)
		if err != nil {
			return nil, err
		}
		l.store = s
	}
	return l.store, nil
}

// site finds a site that was added before.
func (l *lateStore) site(ctx context.Context, code string) (site study.Site, known bool, err error) {
	s, err := l.get(ctx)
	if err != nil {
		return study.Site{}, false, err
	}
	site, err = s.SiteByCode(ctx, code)
	if errors.Is(err, study.ErrNotFound) {
		return study.Site{}, false, nil
	}
	return site, err == nil, err
}

func (l *lateStore) close() {
	if l.store != nil {
		l.store.Close()
	}
}
