//go:build goolm && homeserver

package matrix

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"becket/bot"
	"becket/flows"
	"becket/store"
)

// becket is Becket on a homeserver, with a proxy in between. It can be ended and started again.
type becket struct {
	t      testing.TB
	hs     *homeserver
	proxy  *proxy
	bot    *bot.Bot
	config Config
	user   string
	db     *store.DB
	stop   func() error
	clock  func() time.Time
	ended  chan error // what it ended with
	mu     sync.Mutex
	told   []string
}

func newBecket(t testing.TB, hs *homeserver) *becket {
	t.Helper()
	b := &becket{t: t, hs: hs, proxy: startProxy(t, hs), clock: time.Now}
	b.user, b.config.password = hs.register("becket")
	b.config.Homeserver, b.config.User = b.proxy.URL, b.user
	b.config.Database = filepath.Join(t.TempDir(), "becket.db")
	b.bot = bot.New(bot.Options{Flows: b.flows()})
	return b
}

func (b *becket) flows() []*flows.Flow {
	b.t.Helper()
	all, problems := flows.LoadDir(os.DirFS("testdata/flows"), "testdata/flows")
	if len(problems) > 0 {
		b.t.Fatal(problems)
	}
	return all
}

// allow lets people invite Becket.
func (b *becket) allow(people ...*person) *becket {
	for _, p := range people {
		b.config.Allow.Users = append(b.config.Allow.Users, p.cli.UserID.String())
	}
	return b
}

func (b *becket) tell(sentence string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.told = append(b.told, sentence)
}

// toldWith finds what the operator was told with a text in it.
func (b *becket) toldWith(text string) (sentence string, found bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, s := range b.told {
		if strings.Contains(s, text) {
			return s, true
		}
	}
	return "", false
}

// start starts it. Ended, it must have ended of its own accord with nothing to complain of.
func (b *becket) start() *becket {
	b.t.Helper()
	db, err := store.Open(b.t.Context(), b.config.Database, b.clock)
	if err != nil {
		b.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	b.ended = ended
	go func() { ended <- Service{Config: b.config, Bot: b.bot, DB: db, Tell: b.tell}.Run(ctx) }()
	b.db = db
	var once sync.Once
	b.stop = func() (err error) {
		once.Do(func() {
			cancel()
			err = <-ended
			if closeErr := db.Close(); err == nil {
				err = closeErr
			}
		})
		return err
	}
	b.t.Cleanup(func() {
		if err := b.stop(); err != nil {
			b.t.Errorf("Becket ended with: %v; told: %q", err, b.told)
		}
	})
	return b
}

func (b *becket) end() {
	b.t.Helper()
	if err := b.stop(); err != nil {
		b.t.Fatalf("Becket ended with: %v", err)
	}
}

// team gives a room its team: the first is Ana, the second, if there is one, Ben.
func (b *becket) team(room string, people ...*person) {
	b.t.Helper()
	ben := "@ben:localhost"
	if len(people) > 1 {
		ben = people[1].cli.UserID.String()
	}
	file, err := bot.ParseTeamFile(teamOf(b.t, room, people[0].cli.UserID.String(), ben))
	if err != nil {
		b.t.Fatal(err)
	}
	err = b.db.Do(b.t.Context(), func(tx *store.Tx) error { return b.bot.Import(tx, file, "test") })
	if err != nil {
		b.t.Fatal(err)
	}
}

// teamOf is the team file with a room and two people filled in.
func teamOf(t testing.TB, room, ana, ben string) []byte {
	t.Helper()
	text, err := os.ReadFile("testdata/team.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, text, _ = bytes.Cut(text, []byte("\n")) // its first line speaks of ROOM, ANA and BEN
	return []byte(strings.NewReplacer("ROOM", room, "ANA", ana, "BEN", ben).Replace(string(text)))
}

// verified tests that everything in the record follows from it again.
func (b *becket) verified() {
	b.t.Helper()
	problems, err := b.bot.Verify(b.t.Context(), b.db)
	if err != nil || len(problems) > 0 {
		b.t.Errorf("verify: %v, %v", problems, err)
	}
}
