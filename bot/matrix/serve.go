//go:build goolm

package matrix

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"maunium.net/go/mautrix"

	"becket/bot"
	"becket/store"
	"becket/store/device"
)

// transport is the name under which messages are received, and the position in the homeserver's stream is kept.
const transport = "matrix"

// Service is the conversation in Matrix rooms. Tell speaks to the operator, a sentence at a time. Every is how long to wait
// before looking again for what the clock has brought about; 0: half a minute.
type Service struct {
	Config Config
	Bot    *bot.Bot
	DB     *store.DB
	Tell   func(sentence string)
	Every  time.Duration
	// Wording may change explanations on their way out; nil: they leave as they were written.
	Wording *bot.Wording
}

// service is a Service under way.
type service struct {
	Service
	*account
	side *device.DB
	// woken says that something came in, or is to go out.
	woken chan struct{}
	// rested says that the worker has gone through what there was.
	rested  chan struct{}
	running context.Context // ends when we are to end
	syncs   *syncs
	away    away
	outbox  outbox
	uploads *uploads
	noted   int64 // the record's last entry that the device's own file knows of
	moves   moves
	said    map[string]store.Condition // of each team's room, as it was last kept
}

// Run talks until ctx ends. It returns nil then, and an error when it can't go on.
func (s Service) Run(ctx context.Context) error {
	side, err := device.Open(ctx, deviceFile(s.Config))
	if err != nil {
		return err
	}
	defer side.Close()
	if err := side.ForgetOffers(ctx, time.Now().Add(-offerKept)); err != nil {
		return err
	}
	r := &service{Service: s, side: side, woken: make(chan struct{}, 1), rested: make(chan struct{}, 1), syncs: newSyncs(), uploads: newUploads(), away: away{tell: s.Tell}}
	r.Every = cmp.Or(s.Every, 30*time.Second)
	r.said = map[string]store.Condition{}
	r.moves = moves{next: map[string]time.Time{}, inside: map[string]bool{}, told: map[string]string{}}
	r.outbox = outbox{blocked: map[string]blockage{}, roots: map[string]bool{}}
	if err := r.continues(ctx); err != nil {
		return err
	}
	err = r.insist(ctx, func() (err error) {
		r.account, err = connect(ctx, s.Config, side, s.Tell)
		return err
	})
	if err != nil {
		return ended(ctx, err)
	}
	ctx, stop := context.WithCancelCause(ctx)
	defer r.uploads.all.Wait() // nothing is kept once the device's file is closed
	defer stop(nil)
	r.running = ctx
	var both sync.WaitGroup
	both.Go(func() { stop(r.listen(ctx)) })
	both.Go(func() { stop(r.work(ctx)) })
	both.Go(func() { r.showCommands(ctx) })
	both.Wait()
	noted := r.remember(context.WithoutCancel(ctx))
	return errors.Join(ended(ctx, context.Cause(ctx)), noted)
}

// ended makes nothing of an error that only says that we were asked to end.
func ended(ctx context.Context, err error) error {
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// wake has the worker look for work.
func (r *service) wake() { signal(r.woken) }

// signal leaves word for whoever listens, unless there is some already.
func signal(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

// insist does something until it succeeds, as long as only the homeserver is in the way.
func (r *service) insist(ctx context.Context, do func() error) error {
	for tries := 0; ; tries++ {
		err := do()
		if err == nil {
			r.away.over()
			return nil
		}
		if !isAway(err) {
			return err
		}
		r.away.say(err)
		if !sleep(ctx, wait(err, tries)) {
			return ctx.Err()
		}
	}
}

// isAway tells whether a failure lies with the homeserver or the way to it and may pass.
func isAway(err error) bool {
	if _, limited := limitOf(err); limited {
		return true
	}
	var failed mautrix.HTTPError
	if !errors.As(err, &failed) || errors.Is(err, context.Canceled) {
		return false
	}
	return failed.Response == nil || failed.Response.StatusCode >= 500
}

// away tells the operator once that the homeserver can't be reached, and once that it is reached again.
type away struct {
	mu   sync.Mutex
	tell func(string)
	said bool
}

func (a *away) say(err error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if _, limited := limitOf(err); limited || a.said {
		return
	}
	a.said = true
	a.tell(fmt.Sprintf(tellAway, err))
}

func (a *away) over() {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.said {
		a.said = false
		a.tell(tellBack)
	}
}

// clock is how times are said to people.
func clock(t time.Time) string { return t.UTC().Format("2 January 15:04") + " UTC" }
