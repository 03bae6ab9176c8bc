package web

import "html/template"

// beadPicture shows one bead grade as water seen from above on a panel: by the
// outline of its drops and the share that is wet.
type beadPicture struct {
	Grade   int
	Drawing template.HTML
}

// beadPictures lists the grades, from the closed sheet to round drops.
func beadPictures() []beadPicture {
	const panel = `<path class="panel" d="M1 1h62v38H1z"/>`
	drawings := []template.HTML{
		// All of it is wet.
		`<path d="M1 1h62v38H1z"/>`,
		// The sheet has torn open.
		`<path fill-rule="evenodd" d="M1 1h62v38H1zM9 8c4-3 9-1 11 2s-2 7-6 7-9-5-5-9zM38 5c6-1 15 0 16 5s-6 5-11 4-9-8-5-9zM24 21c5-2 10 0 9 5s-8 8-12 5-1-9 3-10zM46 24c4-2 10-1 11 4s-4 7-9 6-5-8-2-10z"/>`,
		// Ragged islands.
		`<path d="M6 6c6-4 12 1 17-1s6 4 1 6-4 5-10 4-12-6-8-9zM37 5c4-2 8 1 9 5s9 1 11 4-4 6-9 4-8 1-11-3-4-8 0-10zM8 22c4-2 5 3 10 2s7 4 4 8-7 3-11 1-8-8-3-11zM31 21c4-3 9-1 9 3s6 4 5 8-8 4-11 1-7-9-3-12zM51 24c4-2 8 1 7 5s-5 5-8 3-2-7 1-8z"/>`,
		// Drops, but drawn out of round.
		`<ellipse cx="10" cy="9" rx="5.5" ry="4" transform="rotate(20 10 9)"/><ellipse cx="27" cy="8" rx="4.5" ry="3.2" transform="rotate(-25 27 8)"/><ellipse cx="43" cy="10" rx="5.5" ry="3.8" transform="rotate(10 43 10)"/><ellipse cx="56" cy="19" rx="4.2" ry="3"/><ellipse cx="17" cy="22" rx="4.5" ry="3.2" transform="rotate(35 17 22)"/><ellipse cx="34" cy="21" rx="5.5" ry="4" transform="rotate(-12 34 21)"/><ellipse cx="8" cy="33" rx="4" ry="2.9"/><ellipse cx="25" cy="33" rx="4.8" ry="3.2" transform="rotate(15 25 33)"/><ellipse cx="45" cy="31" rx="5.2" ry="3.7" transform="rotate(-30 45 31)"/>`,
		// Round drops, well apart.
		`<circle cx="8" cy="8" r="3.2"/><circle cx="20" cy="13" r="2.2"/><circle cx="31" cy="7" r="3.4"/><circle cx="44" cy="12" r="2.6"/><circle cx="56" cy="8" r="3"/><circle cx="12" cy="24" r="2.8"/><circle cx="26" cy="22" r="3"/><circle cx="39" cy="25" r="3.4"/><circle cx="53" cy="22" r="2.3"/><circle cx="7" cy="34" r="2.2"/><circle cx="20" cy="33" r="2.7"/><circle cx="33" cy="35" r="2"/><circle cx="47" cy="34" r="2.9"/><circle cx="58" cy="32" r="2.2"/>`,
	}
	pictures := make([]beadPicture, len(drawings))
	for i, drawing := range drawings {
		pictures[i] = beadPicture{i + 1, `<svg viewBox="0 0 64 40" width="64" height="40" aria-hidden="true" focusable="false">` + panel + drawing + `</svg>`}
	}
	return pictures
}
