package reports

import "beadspan/study"

// decidedTable says in plain words what the rules did with a study's patches.
func decidedTable(d study.Decided, p study.Protocol) Table {
	t := Table{
		Caption: "Counts of what was seen and decided",
		Head:    []string{"What was seen", "How often", "What the rules made of it"},
	}
	row := func(seen string, n int, made string) { t.add(seen, number(n), made) }
	row("Patches", d.Patches, "each gets one span")
	row("Visits on which a patch was read", d.Visits, "until the patch left the study")
	row("Spent patches", d.Spent, "the end lies between the last proof of holding and the first counted fail")
	row("Masked visits", d.Masked, "failed before the decon wash, passed after it: holding, only dirty")
	row("Doubtful visits", d.DoubtfulVisits, "failed without a decon reading: proves nothing")
	row("Fails cancelled by a later pass", d.Cancelled, "not counted; listed for a look")
	row("Patches with a pending fail", d.Pending, pendingWords(p))
	row("Contrary visits", d.Contrary, "passed before the decon wash, failed after it: the clean panel decides; listed for a look")
	row("Passes after spent", d.PassedAfter, "the patch stays spent; listed for a look")
	row("Patches spent without any proof of holding", d.LeftCensored, "spent at some time before their first fail")
	row("Patches enrolled late", d.LateEntry, "counted only from their first reading that passed")
	row("Patches enrolled late, never seen holding", d.NeverHeld, "left out: they would not be here had they held shorter")
	row("Patches never conclusively read", d.NeverConclusive, "left out: nothing is known")
	row("Patches cut at a topper", d.CutByTopper, "followed to the last proof of holding before it")
	row("Patches cut by other care", d.CutByCare, "film replaced, repaint, polished through, recoated, sold or lost: followed to the last proof of holding before it")
	row("Visits after the cut", d.VisitsAfterCut, "not used")
	return t
}

func pendingWords(p study.Protocol) string {
	if p.Confirm == 1 {
		return "one fail counts at once, so none can be pending"
	}
	return "not yet confirmed, so not yet spent"
}
