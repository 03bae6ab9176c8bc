package web

import (
	"mime"
	"net/http"
	"strings"
)

// asFile says that what follows is a file to keep under that name.
func asFile(w http.ResponseWriter, contentType, name string) {
	name = strings.ReplaceAll(name, "/", "-") // codes may hold one
	w.Header().Set("Content-Type", contentType)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
}
