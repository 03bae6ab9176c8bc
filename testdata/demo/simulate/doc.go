// Package simulate invents a field study: shops in four climates, about 160
// vehicles, three coatings and a bare control, and everything that a detailer
// would have written down over thirty months. Unlike a real study it knows the
// truth that generated the records, so that an analysis can be judged by it.
//
// Each patch has a latent clean angle that falls towards the bare substrate's,
//
//	θ(t) = floor + (start − floor) exp(−t/τ)
//
// with t in days of service, and its life ends when that angle falls below
// 90°. The life varies with coating, climate, orientation, garage and job, with
// the vehicle and with the patch. What is written down is that angle under
// traffic film, through an operator's eye, on some days only.
//
// Toppers, sales, losses, other work and the planned washes never depend on how
// a coating is doing, so that leaving the study says nothing of the life. What
// the shop does about a failed reading does: a decontamination wash outside the
// plan, an early return to confirm it, a new coating once it is confirmed.
//
// All of it is invented. The same seed gives the same records, apart from their
// IDs.
package simulate
