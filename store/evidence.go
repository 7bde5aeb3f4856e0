package store

// ClosedAfter lists up to limit of a room's signed inspections, supervised ones among them, that began after an entry of the
// record, in the order in which they began.
func (tx *Tx) ClosedAfter(room string, seq int64, limit int) ([]Inspection, error) {
	return tx.inspections(`WHERE room = ? AND seq > ? AND state IN ('signed', 'supervised') ORDER BY seq LIMIT ?`, room, seq, limit)
}

// CountClosed counts what ClosedAfter goes through.
func (tx *Tx) CountClosed(room string) (n int, err error) {
	_, err = tx.get(`SELECT count(*) FROM inspection WHERE room = ? AND state IN ('signed', 'supervised')`, []any{room}, &n)
	return n, err
}

// HoldsAfter lists up to limit of a room's holds that were placed after an entry of the record, ended ones included, in the order
// in which they were placed.
func (tx *Tx) HoldsAfter(room string, n int64, limit int) ([]Hold, error) {
	return tx.holds(`WHERE room = ? AND n > ? ORDER BY n LIMIT ?`, room, n, limit)
}
