package store

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
)

// KeepFlow keeps a flow's text under its hash, so that what it judged can be derived again when the flow has
// long been edited.
func (tx *Tx) KeepFlow(hash string, text []byte) error {
	return tx.put(`INSERT INTO flow(hash, text) VALUES(?, ?) ON CONFLICT DO NOTHING`, hash, string(text))
}

// FlowText finds a kept flow's text. A text that no longer has its hash is an error.
func (tx *Tx) FlowText(hash string) ([]byte, error) {
	var text string
	found, err := tx.get(`SELECT text FROM flow WHERE hash = ?`, []any{hash}, &text)
	if err != nil {
		return nil, err
	}
	if !found {
		return nil, fmt.Errorf("the script with the hash %.12s that an inspection followed isn't kept here", hash)
	}
	if sum := sha256.Sum256([]byte(text)); hex.EncodeToString(sum[:]) != hash {
		return nil, fmt.Errorf("the script with the hash %.12s that an inspection followed was changed", hash)
	}
	return []byte(text), nil
}
