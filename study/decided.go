package study

// Decided counts what the rules did: of one patch in a Span, of many when
// added up.
type Decided struct {
	Patches int
	Visits  int // days on which a patch was read
	Spent   int // patches with a counted fail

	Masked          int // visits: failed before decon, passed after
	DoubtfulVisits  int // visits: failed, no decon reading
	Cancelled       int // conclusive fails that a later pass cancelled
	Pending         int // patches whose last conclusive fail awaits confirmation
	Contrary        int // visits: passed before decon, failed after
	PassedAfter     int // visits that passed after the patch counted as spent
	LeftCensored    int // patches spent without any proof of holding before
	LateEntry       int // patches followed from after their service began
	NeverHeld       int // patches enrolled late and never seen holding: not used
	NeverConclusive int // patches without a conclusive reading: not used
	CutByTopper     int // patches that leave at the first topper
	CutByCare       int // patches that leave because their coating or vehicle did
	VisitsAfterCut  int // visits not used because the patch had left
}

// Add adds the counts of e to d.
func (d *Decided) Add(e Decided) {
	d.Patches += e.Patches
	d.Visits += e.Visits
	d.Spent += e.Spent
	d.Masked += e.Masked
	d.DoubtfulVisits += e.DoubtfulVisits
	d.Cancelled += e.Cancelled
	d.Pending += e.Pending
	d.Contrary += e.Contrary
	d.PassedAfter += e.PassedAfter
	d.LeftCensored += e.LeftCensored
	d.LateEntry += e.LateEntry
	d.NeverHeld += e.NeverHeld
	d.NeverConclusive += e.NeverConclusive
	d.CutByTopper += e.CutByTopper
	d.CutByCare += e.CutByCare
	d.VisitsAfterCut += e.VisitsAfterCut
}

func decided(s Span, f followed, late bool, visitsAfterCut int) Decided {
	return Decided{
		Patches:         1,
		Visits:          f.visits,
		Spent:           one(s.Spent()),
		Masked:          f.masked,
		DoubtfulVisits:  f.doubtful,
		Cancelled:       f.cancelled,
		Pending:         one(f.pending),
		Contrary:        f.contrary,
		PassedAfter:     f.passedAfter,
		LeftCensored:    one(s.Spent() && !f.held),
		LateEntry:       one(s.Known && late),
		NeverHeld:       one(late && !f.held),
		NeverConclusive: one(!late && !s.Known),
		CutByTopper:     one(s.Ended == Topper),
		CutByCare:       one(s.Ended != "" && s.Ended != Topper),
		VisitsAfterCut:  visitsAfterCut,
	}
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}
