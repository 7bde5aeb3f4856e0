package table

import "strings"

// headings are other words that people have for a column, written as plainly as plain makes them.
func (c Column) headings() []string {
	switch c {
	case Mark:
		return []string{"our mark", "id", "item", "item no", "item number", "item id", "tag", "tag no", "tag number", "asset", "asset no", "asset id", "asset number", "asset tag", "equipment no", "equipment id", "equipment number", "our number", "label", "inventory no", "inventory number", "ref", "reference", "kit no", "unique id"}
	case Family:
		return []string{"kind", "type", "category", "kind of kit", "item type", "equipment type", "type of equipment", "device", "flow"}
	case Maker:
		return []string{"manufacturer", "make", "brand", "mfr"}
	case Model:
		return []string{"product", "product name", "model name", "model no", "model number"}
	case Serial:
		return []string{"serial", "serial no", "sn", "s n", "serial nr", "makers number", "makers serial", "makers serial number", "manufacturers serial number", "manufacturers serial no"}
	case Batch:
		return []string{"lot", "batch no", "lot no", "batch number"}
	case Made:
		return []string{"date made", "manufactured", "date of manufacture", "manufacture date", "manufacturing date", "dom", "year", "year made", "year of manufacture", "mfg date", "production date"}
	case FirstUse:
		return []string{"first used", "date of first use", "first use date", "date first used", "in use since", "in service", "in service since", "date in service", "in service date", "into service", "date put into service", "put into service"}
	case Use:
		return []string{"use", "used for", "people or goods", "class of use"}
	case Interval:
		return []string{"interval", "inspection interval", "interval months", "months", "inspection interval months"}
	case LifeMade:
		return []string{"life from manufacture", "life from date of manufacture", "lifetime from manufacture", "life from made"}
	case LifeUse:
		return []string{"life from first use", "lifetime from first use", "life in use"}
	case Holder:
		return []string{"holder", "held by", "issued to", "user", "who has it"}
	case Place:
		return []string{"location", "where", "stored", "store", "kept in"}
	case Bought:
		return []string{"purchased", "date of purchase", "purchase date", "date bought", "date purchased"}
	case Examined:
		return []string{"last inspection", "last inspection date", "last examined", "last examination", "last checked", "last check", "inspected", "inspection date", "date inspected", "date of last inspection", "date of last examination", "last thorough examination"}
	case Status:
		return []string{"verdict", "result", "state", "condition", "pass fail", "outcome"}
	}
	return nil
}

// workedOut are headings of what follows from the rest, and is never taken from anybody's list.
func workedOut() []string {
	return []string{"next due", "due", "due date", "date due", "next inspection", "next inspection date", "next inspection due", "inspection due", "next examination", "date of next inspection", "date of next examination", "expires", "expiry", "expiry date", "retire by", "end of life", "days left", "age"}
}

// plain makes a heading plain, so that "Serial No." and "serial no" are one. How its dates are written isn't
// part of it.
func plain(text string) string {
	words := strings.FieldsFunc(strings.NewReplacer("'", "", "’", "").Replace(strings.ToLower(text)), func(r rune) bool {
		return strings.ContainsRune(" \u00a0\t\r\n.:,;/_-()#*?", r)
	})
	all := strings.Join(words, " ")
	for _, dates := range []string{" dd mm yyyy", " mm dd yyyy", " yyyy mm dd", " dd mm yy", " mm dd yy"} {
		all = strings.TrimSuffix(all, dates)
	}
	return all
}

// columnOf guesses what stands under a heading.
func columnOf(text string) (Column, bool) {
	asked := plain(text)
	for _, c := range Columns() {
		if asked == plain(string(c)) {
			return c, true
		}
		for _, other := range c.headings() {
			if asked == other {
				return c, true
			}
		}
	}
	return "", false
}
