package main

import (
	"time"

	"becket/bot"
	"becket/store"
)

// oneStore is a team's store that a command reads, beside the one program that writes.
type oneStore struct {
	bot  *bot.Bot
	db   *store.DB
	room string
}

// toReadStore opens the store of the room that is named, or of the only one. flows is a folder with the team's own scripts; empty: there is
// none. Whoever opens it closes db.
func (c *commandLine) toReadStore(room, flows string, now func() time.Time) (*oneStore, error) {
	b, err := newBot(flows, bot.Options{})
	if err != nil {
		return nil, err
	}
	db, err := c.toRead(now)
	if err != nil {
		return nil, err
	}
	room, err = theRoom(db, room)
	if err != nil {
		_ = db.Close() // what went wrong is said already
		return nil, err
	}
	return &oneStore{b, db, room}, nil
}
