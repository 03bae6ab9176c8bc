package study

// covered are the patches, by code, for which a kind of work that is due comes
// with another that is.
type covered map[DueKind]map[string]bool

// by marks what is done along with d.
func (c covered) by(d Due) {
	for _, kind := range d.Kind.brings() {
		if c[kind] == nil {
			c[kind] = map[string]bool{}
		}
		for _, code := range d.Patches {
			c[kind][code] = true
		}
	}
}

// brings lists what is done along with work of this kind: a decon wash has the
// iron remover and the wash in it.
func (k DueKind) brings() []DueKind {
	switch k {
	case DueSecondReading, DueConfirmation:
		return []DueKind{DueDeconWash, DueIronRemover, DueCheckup, DueWash}
	case DueDeconWash:
		return []DueKind{DueIronRemover, DueWash}
	}
	return nil
}
