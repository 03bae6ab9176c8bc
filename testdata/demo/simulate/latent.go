package simulate

import "beadspan/study"

// Latent is the truth behind a patch's readings: the clean angle that falls
// from StartDeg to FloorDeg. Film, toppers and errors of reading come on top,
// and readings that were made awkward know nothing of it.
type Latent struct {
	StartDeg, FloorDeg float64
	TauDays            float64
}

// AngleDeg is the clean angle after some days of service.
func (l Latent) AngleDeg(days float64) float64 {
	return decay{l.StartDeg, l.FloorDeg, l.TauDays}.angleDeg(days)
}

// latents lists those of all patches that were ever coated.
func latents(histories []*history) map[study.ID]Latent {
	all := map[study.ID]Latent{}
	for _, h := range histories {
		for id, d := range h.decays {
			all[id] = Latent{d.start, d.floor, d.tau}
		}
	}
	return all
}
