package sheet

import "tinful/store"

// Template writes a workbook with the ten sheets and their headings, or a
// folder of .csv files, as [Export] does for a store without records. Nothing
// that exists is replaced without force.
func Template(path string, force bool) error {
	_, err := export(none{}, path, force, nil, 2)
	return err
}

// none is a source without records.
type none struct{}

func (none) EachModel(func(store.Model) error) error { return nil }
func (none) EachPlace(func(store.Place) error) error { return nil }
func (none) EachPart(func(store.Part) error) error   { return nil }
func (none) EachGoes(func(store.Goes) error) error   { return nil }
func (none) EachDonor(func(store.Donor) error) error { return nil }
func (none) EachSeen(func(store.Seen) error) error   { return nil }
func (none) EachBag(func(store.Bag) error) error     { return nil }
func (none) EachJob(func(store.Job) error) error     { return nil }
func (none) EachMove(func(store.Entry) error) error  { return nil }
func (none) EachWant(func(store.Want) error) error   { return nil }
