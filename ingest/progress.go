package ingest

// progress tells how much of a log has been read, table by table.
type progress struct {
	done, total int64
	told        func(done, total int64)
}

func newProgress(src *source, told func(done, total int64)) *progress {
	p := &progress{told: told}
	for _, file := range src.tables {
		p.total += file.size
	}
	return p
}

// tell adds to what is done of the table that is being read.
func (p *progress) tell(bytes float64) {
	if p.told != nil {
		p.told(p.done+int64(bytes), p.total)
	}
}

// finish counts a table of that size as read.
func (p *progress) finish(size int64) {
	p.done += size
	p.tell(0)
}
