//go:build goolm

package matrix

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"time"

	"maunium.net/go/mautrix"
)

// The bounds of waiting before something is tried again.
const (
	leastWait = 500 * time.Millisecond
	mostAway  = 30 * time.Second // where nothing says how long: people wait at the other end
	mostWait  = 5 * time.Minute
)

// wait is how long to leave the homeserver alone after a failure: as long as it says, or twice as long each time.
func wait(err error, tries int) time.Duration {
	if asked, limited := limitOf(err); limited {
		return min(max(asked, leastWait), mostWait)
	}
	return min(leastWait<<min(tries, 10), mostAway)
}

// limitOf tells whether a failure is a limit on how often we may ask, and how long the homeserver wants us to wait: the
// longer of what its body and its header say.
func limitOf(err error) (time.Duration, bool) {
	var failed mautrix.HTTPError
	if !errors.As(err, &failed) || failed.Response == nil || failed.Response.StatusCode != http.StatusTooManyRequests {
		return 0, false
	}
	var asked time.Duration
	if failed.RespError != nil {
		if ms, ok := failed.RespError.ExtraData["retry_after_ms"].(float64); ok {
			asked = time.Duration(min(ms, float64(mostWait.Milliseconds()))) * time.Millisecond
		}
	}
	if s, err := strconv.Atoi(failed.Response.Header.Get("Retry-After")); err == nil {
		asked = max(asked, time.Duration(min(s, int(mostWait.Seconds())))*time.Second)
	}
	return asked, true
}

// sleep waits, or until ctx ends; it tells whether the whole time passed.
func sleep(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-ctx.Done():
		return false
	}
}
