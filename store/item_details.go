package store

import (
	"cmp"

	"becket/flows/due"
)

// ItemDetailed fills in what a report has to say of an item and the register lacked. What is empty stays as it was.
type ItemDetailed struct {
	Mark     string   `json:"mark"`
	SafeLoad string   `json:"safe_load,omitempty"`
	Standard string   `json:"standard,omitempty"`
	Scheme   string   `json:"scheme,omitempty"`
	Bought   due.Date `json:"bought,omitzero"`
	Examined string   `json:"examined,omitempty"`
}

func (ItemDetailed) Kind() string      { return "item details" }
func (d ItemDetailed) Subject() string { return "item:" + d.Mark }

func (d ItemDetailed) apply(tx *Tx, e Entry) error {
	item, found, err := tx.Item(e.Room, d.Mark)
	if err != nil || !found {
		return err
	}
	item.SafeLoad, item.Standard = cmp.Or(d.SafeLoad, item.SafeLoad), cmp.Or(d.Standard, item.Standard)
	item.Examined, item.Scheme = cmp.Or(d.Examined, item.Examined), cmp.Or(d.Scheme, item.Scheme)
	if !d.Bought.IsZero() {
		item.Bought = d.Bought
	}
	return tx.putItem(e.Room, item)
}
