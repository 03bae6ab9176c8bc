package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"sync"

	packer "github.com/klauspost/compress/gzip"
)

// packedKnown keeps what phones took along, packed: in the morning every phone
// of a shop asks for the same, which takes long to write and to pack.
type packedKnown struct {
	mu    sync.Mutex
	byTag map[string][]byte // by account and tag
}

// mostPackedKnown bounds how many are kept; some hundred kB each for thousands
// of vehicles.
const mostPackedKnown = 50

// of returns what known is with the vehicles that the viewer may see, packed.
func (p *packedKnown) of(x *records, f bayFleet, known bayKnown, tag string) ([]byte, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	key := known.Account + " " + tag
	if packed, has := p.byTag[key]; has {
		return packed, nil
	}
	packed, err := f.pack(x, known)
	if err != nil {
		return nil, err
	}
	if p.byTag == nil || len(p.byTag) >= mostPackedKnown {
		p.byTag = map[string][]byte{}
	}
	p.byTag[key] = packed
	return packed, nil
}

// pack writes known with the vehicles and what they are due for, as JSON that is
// packed by gzip. The vehicles have been written before.
func (f bayFleet) pack(x *records, known bayKnown) ([]byte, error) {
	for _, line := range f.due.due(x) {
		known.Due = append(known.Due, line.Code)
	}
	head, err := json.Marshal(known)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	z := packer.NewWriter(&out)
	write := func(parts ...[]byte) {
		for _, part := range parts {
			if err == nil {
				_, err = z.Write(part)
			}
		}
	}
	write(bytes.TrimSuffix(head, []byte("}")), []byte(`,"vehicles":[`))
	between := []byte(nil)
	for _, v := range f.vehicles {
		if x.covers(v.vehicle) {
			write(between, v.json)
			between = []byte(",")
		}
	}
	write([]byte("]}"))
	if err == nil {
		err = z.Close()
	}
	return out.Bytes(), err
}

// sendPacked sends JSON that is packed already, and unpacks it for who can't.
func sendPacked(w http.ResponseWriter, r *http.Request, packed []byte) error {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Vary", "Accept-Encoding")
	var body io.Reader = bytes.NewReader(packed)
	if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		w.Header().Set("Content-Encoding", "gzip")
	} else {
		var err error
		if body, err = gzip.NewReader(body); err != nil {
			return err
		}
	}
	if _, err := io.Copy(w, body); err != nil {
		return nil //nolint:nilerr // whoever asked has left
	}
	return nil
}
