package bot

import (
	"slices"
	"strings"
	"sync"
	"time"

	"becket/bot/translate"
	"becket/flows"
	"becket/prompts"
	"becket/store"
)

// Bot holds what a conversation needs besides the store: the flows that may be started, and chance.
type Bot struct {
	library map[string]*flows.Flow
	// parsed keeps flows of the record by hash; parsing one costs more than folding an inspection.
	parsed *parsedFlows
	zones  *zones
	// firstIsKeeper lets the first person to speak in an empty database become its keeper.
	firstIsKeeper bool
	seed          *uint64
	hushAfter     int
	edition       string
	guidance      *prompts.Guidance
	troubled      func(room string, err error)
	rewords       func(tx *store.Tx, text, language string) (bool, error)
	languages     *translate.Catalogue
}

// Options are what may differ from one Bot to another.
type Options struct {
	Flows         []*flows.Flow
	FirstIsKeeper bool
	Seed          *uint64 // fixes chance; nil: drawn from the record
	// HushAfter is how many messages of one person's in one room, within a minute and to no effect, are answered; 0: all.
	HushAfter int
	Edition   string // of the program, for the keeper who asks; empty: not marked
	// Guidance is how questions are put in other lengths; nil: in the script's own words to everybody.
	Guidance *prompts.Guidance
	// Troubled is told why nothing could be told in a room by itself; it is tried again. nil: nobody is.
	Troubled func(room string, err error)
	// Rewords tells whether an explanation may leave in other words for somebody who is answered in a language, as a Wording's Has does; nil: none may.
	Rewords func(tx *store.Tx, text, language string) (bool, error)
	// Languages are those besides English in which somebody can be answered; nil: none.
	Languages *translate.Catalogue
}

// New makes a Bot.
func New(o Options) *Bot {
	b := &Bot{library: map[string]*flows.Flow{}, zones: &zones{byName: map[string]*time.Location{}}, parsed: &parsedFlows{byHash: map[string]*flows.Flow{}}, firstIsKeeper: o.FirstIsKeeper, seed: o.Seed, hushAfter: o.HushAfter, edition: o.Edition, guidance: o.Guidance, troubled: o.Troubled, rewords: o.Rewords, languages: o.Languages}
	for _, f := range o.Flows {
		b.library[f.ID] = f
		b.parsed.byHash[f.Hash] = f
	}
	return b
}

// families lists the flows that may be started, by name.
func (b *Bot) families() []*flows.Flow {
	list := make([]*flows.Flow, 0, len(b.library))
	for _, f := range b.library {
		list = append(list, f)
	}
	slices.SortFunc(list, func(a, b *flows.Flow) int { return strings.Compare(a.Title, b.Title) })
	return list
}

// title is how a family is spoken of; its id where there is no script for it.
func (b *Bot) title(family string) string {
	if f, ok := b.library[family]; ok {
		return strings.ToLower(f.Title)
	}
	return family
}

type parsedFlows struct {
	mu     sync.Mutex
	byHash map[string]*flows.Flow
}

// kept is the flow with this hash, as the record keeps it.
func (b *Bot) kept(tx *store.Tx, hash string) (*flows.Flow, error) {
	b.parsed.mu.Lock()
	defer b.parsed.mu.Unlock()
	if f, ok := b.parsed.byHash[hash]; ok {
		return f, nil
	}
	text, err := tx.FlowText(hash)
	if err != nil {
		return nil, err
	}
	f, problems := flows.Load("record", text)
	if len(problems) > 0 {
		return nil, problems
	}
	b.parsed.byHash[hash] = f
	return f, nil
}

// zones keeps time zones by name; reading one costs more than any query.
type zones struct {
	mu     sync.Mutex
	byName map[string]*time.Location
}

func (z *zones) zone(name string) (*time.Location, error) {
	z.mu.Lock()
	defer z.mu.Unlock()
	if zone, known := z.byName[name]; known {
		return zone, nil
	}
	zone, err := zoneOf(name)
	if err == nil {
		z.byName[name] = zone
	}
	return zone, err
}
