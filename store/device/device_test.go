package device

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func open(t *testing.T, file string) *DB {
	t.Helper()
	db, err := Open(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestLoginIsKeptForItsOwnerAlone(t *testing.T) {
	file := filepath.Join(t.TempDir(), "odd name?#%.db-matrix")
	db := open(t, file)
	want := Login{Homeserver: "https://a.example", User: "@becket:a.example", Device: "BECKET1", Token: "t", PickleKey: "p"}
	must(t, db.SetLogin(t.Context(), Login{User: "@other:a.example"}))
	must(t, db.SetLogin(t.Context(), want))
	must(t, db.Close())
	got, err := open(t, file).Login(t.Context())
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v (- wanted, + got):\n%s", err, diff)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("others can read the keys: %v, %v", info.Mode(), err)
	}
}

func TestAnotherFileIsRefused(t *testing.T) {
	file := filepath.Join(t.TempDir(), "note.txt")
	must(t, os.WriteFile(file, []byte(strings.Repeat("not a database ", 100)), 0o600))
	if _, err := Open(t.Context(), file); err == nil {
		t.Error("a text was opened as a device")
	}
	if _, err := Open(t.Context(), filepath.Join(t.TempDir(), "nowhere", "x")); err == nil {
		t.Error("a file in no folder was opened")
	}
}

func TestEncryptionIsNeverTakenBack(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	want := func(known, encrypted bool) {
		t.Helper()
		k, e, err := db.Room(t.Context(), "!r")
		if k != known || e != encrypted || err != nil {
			t.Errorf("known %v, encrypted %v, %v", k, e, err)
		}
	}
	want(false, false)
	must(t, db.MarkEncrypted(t.Context(), "!r"))
	want(false, true)
	must(t, db.KnowRoom(t.Context(), "!r"))
	want(true, true)
}

func TestSealedIsKeptAsItWas(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	want := Sealed{Txn: "t", Type: "m.room.encrypted", Content: []byte(`{"a":1}`)}
	must(t, db.Arrived(t.Context(), "t", "$e")) // of nobody's sending
	must(t, db.Seal(t.Context(), want))
	if err := db.Seal(t.Context(), Sealed{Txn: "t", Type: "other", Content: []byte("{}")}); err == nil {
		t.Error("it was sealed a second time")
	}
	got, found, err := db.Sealed(t.Context(), "t")
	if diff := cmp.Diff(want, got); diff != "" || !found || err != nil {
		t.Errorf("found %v, %v (- wanted, + got):\n%s", found, err, diff)
	}
	must(t, db.Arrived(t.Context(), "t", "$e"))
	if got, _, err := db.Sealed(t.Context(), "t"); got.Event != "$e" || err != nil {
		t.Errorf("it arrived as %q, %v", got.Event, err)
	}
	must(t, db.Unseal(t.Context(), "t"))
	if _, found, err := db.Sealed(t.Context(), "t"); found || err != nil {
		t.Errorf("still there: %v, %v", found, err)
	}
}

func TestUnreadMessages(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	at := time.Date(2026, 3, 2, 9, 15, 0, 0, time.UTC)
	one := Unread{Event: "$2", Room: "!r", Sender: "@ana:a", At: at, Body: []byte("{}")}
	two := Unread{Event: "$1", Room: "!r", Sender: "@ben:a", At: at, Body: []byte("{}")}
	late := Unread{Event: "$3", Room: "!r", Sender: "@ana:a", At: at, Body: []byte("{}")}
	must(t, db.KeepUnread(t.Context(), one))
	must(t, db.KeepUnread(t.Context(), two))
	must(t, db.TellUnread(t.Context(), "$2"))
	must(t, db.Overtake(t.Context(), "!r", "@ana:a"))
	must(t, db.KeepUnread(t.Context(), late)) // after what overtook the first
	must(t, db.KeepUnread(t.Context(), one))  // again: it stays as it is
	must(t, db.ForgetUnread(t.Context(), "$1"))
	one.Told, one.Overtaken = true, true
	got, err := db.Unread(t.Context())
	if diff := cmp.Diff([]Unread{one, late}, got); diff != "" || err != nil {
		t.Errorf("%v (- wanted, + got):\n%s", err, diff)
	}
}

func TestInvitationsAreKeptUntilSettled(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	for _, in := range []Invitation{{"!b", "@eve:e"}, {"!a", "@ana:a"}, {"!b", "@ben:a"}} {
		must(t, db.Invited(t.Context(), in))
	}
	must(t, db.Settled(t.Context(), "!c"))
	got, err := db.Invitations(t.Context())
	if diff := cmp.Diff([]Invitation{{"!a", "@ana:a"}, {"!b", "@ben:a"}}, got); diff != "" || err != nil {
		t.Errorf("%v (- wanted, + got):\n%s", err, diff)
	}
	must(t, db.Settled(t.Context(), "!b"))
	if got, err := db.Invitations(t.Context()); len(got) != 1 || err != nil {
		t.Errorf("%v, %v", got, err)
	}
}

func TestRecoveryKeyIsForgottenOnceShown(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	for _, want := range []string{"first", "second", ""} {
		must(t, db.KeepRecoveryKey(t.Context(), want))
		if got, err := db.RecoveryKey(t.Context()); got != want || err != nil {
			t.Errorf("got %q, %v, wanted %q", got, err, want)
		}
	}
}

func TestUploadedIsKeptUntilItsMessageIsDelivered(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	for _, want := range []string{`{"a":1}`, `{"a":2}`} {
		must(t, db.KeepUploaded(t.Context(), "t", []byte(want)))
		if got, found, err := db.Uploaded(t.Context(), "t"); string(got) != want || !found || err != nil {
			t.Errorf("%s, found %v, %v", got, found, err)
		}
	}
	must(t, db.ForgetUploaded(t.Context(), "t"))
	if _, found, err := db.Uploaded(t.Context(), "t"); found || err != nil {
		t.Errorf("still there: %v, %v", found, err)
	}
}

func TestOffersAreFoundWhereTheyWerePut(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	at := time.Date(2026, 3, 2, 9, 15, 0, 0, time.UTC)
	old, offer := Offer{"!r", "$old", "a", "$0/1"}, Offer{"!r", "$e", "a", "$1/1"}
	must(t, db.KeepOffer(t.Context(), old, at.Add(-time.Second)))
	must(t, db.KeepOffer(t.Context(), offer, at))
	must(t, db.ForgetOffers(t.Context(), at))
	must(t, db.KeepOffer(t.Context(), offer, at)) // again, after a failure in between
	for _, c := range []struct {
		room, event, sign string
		want              bool
	}{{"!r", "$e", "a", true}, {"!r", "$e", "b", false}, {"!r", "$f", "a", false}, {"!s", "$e", "a", false}, {"!r", "$old", "a", false}} {
		got, found, err := db.Offered(t.Context(), c.room, c.event, c.sign)
		if found != c.want || found && got != offer || err != nil {
			t.Errorf("%v: %v, %+v, %v", c, found, got, err)
		}
	}
	must(t, db.ForgetOffer(t.Context(), offer))
	if _, found, err := db.Offered(t.Context(), "!r", "$e", "a"); found || err != nil {
		t.Errorf("still there: %v, %v", found, err)
	}
}

func TestReplacementsAreKeptUntilSettled(t *testing.T) {
	db := open(t, filepath.Join(t.TempDir(), "d"))
	for _, r := range []Replacement{{"!b", "!x"}, {"!a", "!y"}, {"!b", "!z"}} {
		must(t, db.Replaced(t.Context(), r))
	}
	must(t, db.SettleReplacement(t.Context(), "!a"))
	got, err := db.Replacements(t.Context())
	if diff := cmp.Diff([]Replacement{{"!b", "!z"}}, got); diff != "" || err != nil {
		t.Errorf("%v (- wanted, + got):\n%s", err, diff)
	}
}
