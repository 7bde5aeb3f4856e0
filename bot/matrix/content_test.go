//go:build goolm

package matrix

import (
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"net/http"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"pgregory.net/rapid"

	"becket/bot"
	"becket/flows"
)

func TestWhatPeopleTypeMakesNoHTML(t *testing.T) {
	ask := &bot.Ask{Position: 2, Of: 5, Choices: []bot.Choice{{Key: "a", Label: `a <b>nick</b> & more`}}}
	text := "Noted: <script>alert(1)</script> @room.\n2 of 5, look: <i>the line</i>\n  a  a <b>nick</b> & more\n  b  not offered"
	got := contentsOf(bot.Reply{Text: text, Ask: ask}, false)
	want := "Noted: &lt;script&gt;alert(1)&lt;/script&gt; @room.<br><strong>2 of 5</strong>, look: &lt;i&gt;the line&lt;/i&gt;<br>" +
		"\u00a0\u00a0<strong>a</strong>\u00a0 a &lt;b&gt;nick&lt;/b&gt; &amp; more<br>\u00a0\u00a0b  not offered"
	if len(got) != 1 || got[0].FormattedBody != want {
		t.Errorf("got %q", got[0].FormattedBody)
	}
	if got[0].Body != text {
		t.Errorf("the body differs from what is said: %q", got[0].Body)
	}
	body, err := json.Marshal(got[0])
	if err != nil || !strings.Contains(string(body), `"m.mentions":{}`) {
		t.Errorf("nobody is to be rung by a text: %v, %s", err, body)
	}
}

// wordsOf are a text's words, line for line.
func wordsOf(text string) string {
	lines := strings.Split(text, "\n")
	for n, line := range lines {
		lines[n] = strings.Join(strings.Fields(line), " ")
	}
	return strings.Join(lines, "\n")
}

// onlyEmphasis tells whether a message's formatted body has the words of its body and no HTML but emphasis.
func onlyEmphasis(c *event.MessageEventContent) bool {
	bare := strings.NewReplacer("<strong>", "", "</strong>", "", "<br>", "\n").Replace(c.FormattedBody)
	return c.FormattedBody == "" || !strings.ContainsAny(bare, "<>") && wordsOf(html.UnescapeString(bare)) == wordsOf(c.Body)
}

// TestFormattingAddsNothing: whatever is said, the body has every word of it, what is formatted has no other words, and what
// must be answered isn't a notice.
func TestFormattingAddsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.StringOf(rapid.RuneFrom([]rune("ab \n<>&\"'@é.1"), unicode.Latin))
		reply := bot.Reply{Key: "$1/1", Room: "!r", Text: words.Draw(t, "text")}
		if rapid.Bool().Draw(t, "asks") {
			reply.Ask = &bot.Ask{Position: rapid.IntRange(0, 3).Draw(t, "position"), Of: 3}
			for n := range rapid.IntRange(0, 4).Draw(t, "choices") {
				c := bot.Choice{Key: string(rune('a' + n)), Label: strings.ReplaceAll(words.Draw(t, "label"), "\n", " ")}
				reply.Ask.Choices = append(reply.Ask.Choices, c)
				reply.Text += "\n  " + c.Key + "  " + c.Label
			}
			reply.Text = fmt.Sprintf("%d of 3, look: ", reply.Ask.Position) + reply.Text
		}
		all := contentsOf(reply, false)
		if len(all) != 1 {
			t.Fatalf("%d messages", len(all))
		}
		c := all[0]
		if c.Body != reply.Text || c.Mentions == nil || c.Mentions.Room || len(c.Mentions.UserIDs) > 0 {
			t.Errorf("the body is %q, mentions %v", c.Body, c.Mentions)
		}
		if reply.Ask != nil && c.MsgType != event.MsgText {
			t.Errorf("it is %s", c.MsgType)
		}
		if !onlyEmphasis(c) {
			t.Errorf("formatted is %q, the body %q", c.FormattedBody, c.Body)
		}
	})
}

// TestWhatIsNotified: apps tell nobody that a notice has come (Client-Server API, "Default Override Rules",
// .m.rule.suppress_notices; from memory), so what people must read can't be one.
func TestWhatIsNotified(t *testing.T) {
	for name, c := range map[string]struct {
		reply bot.Reply
		want  event.MessageType
	}{
		"a question":             {bot.Reply{Cause: "$1", Room: "!r", Ask: &bot.Ask{}}, event.MsgText},
		"a question asked again": {bot.Reply{Cause: "$1", Room: "!r", Ask: &bot.Ask{}, Refused: true}, event.MsgText},
		"a hold":                 {bot.Reply{Cause: "$1", Room: "!r", To: "@a:b"}, event.MsgText},
		"a hold, told alone":     {bot.Reply{Cause: "$1", Room: "@a:b", To: "@a:b"}, event.MsgText},
		"a signature":            {bot.Reply{Cause: "$1", Room: "!r", Verdict: &flows.Outcome{}}, event.MsgText},
		"a reminder":             {bot.Reply{Room: "!r"}, event.MsgText},
		"nothing done":           {bot.Reply{Cause: "$1", Room: "!r", To: "@a:b", Refused: true}, event.MsgNotice},
	} {
		if got := contentsOf(c.reply, false)[0].MsgType; got != c.want {
			t.Errorf("%s is %s, wanted %s", name, got, c.want)
		}
	}
}

func TestWhatIsSetInStaysSo(t *testing.T) {
	got := contentsOf(bot.Reply{Text: "Not for use:\n  D-02 & D-07\nNo more."}, false)[0]
	if want := "Not for use:<br>\u00a0\u00a0D-02 &amp; D-07<br>No more."; got.FormattedBody != want {
		t.Errorf("got %q, wanted %q", got.FormattedBody, want)
	}
	if got := contentsOf(bot.Reply{Text: "One line.\nAnother."}, false)[0]; got.FormattedBody != "" {
		t.Errorf("plain text needs no HTML: %q", got.FormattedBody)
	}
}

// TestEveryPartCanBeSent: an event has at most 65,536 bytes (Client-Server API, "Size limits"; from memory). Encrypted, four bytes
// stand for three, and a few hundred more come with it.
func TestEveryPartCanBeSent(t *testing.T) {
	const most = (65_536 - 2_000) / 4 * 3
	for _, piece := range []string{"<", "&", "\"", "\x01", "\u2028", "é", "🪢", "a", "  a\n", "\n"} {
		text := strings.Repeat(piece, 60_000/len(piece))
		var whole strings.Builder
		for _, c := range contentsOf(bot.Reply{Text: text, Ask: &bot.Ask{}}, false) {
			body, err := json.Marshal(c)
			if err != nil || len(body) > most {
				t.Errorf("%q makes %d bytes: %v", piece, len(body), err)
			}
			whole.WriteString(strings.TrimPrefix(c.Body, sayContinued+"\n"))
		}
		if strings.ReplaceAll(whole.String(), "\n", "") != strings.ReplaceAll(text, "\n", "") {
			t.Errorf("something is lost of %q", piece)
		}
	}
}

func TestHowARepliesHangs(t *testing.T) {
	for name, c := range map[string]struct {
		reply    bot.Reply
		threaded bool
		want     *event.RelatesTo
	}{
		"in a thread": {bot.Reply{Cause: "$2", Thread: "$1", Room: "!r"}, true, &event.RelatesTo{
			Type: event.RelThread, EventID: "$1", InReplyTo: &event.InReplyTo{EventID: "$2"}, IsFallingBack: true,
		}},
		"in a thread, of no cause": {bot.Reply{Thread: "$1", Room: "!r"}, true, &event.RelatesTo{
			Type: event.RelThread, EventID: "$1", InReplyTo: &event.InReplyTo{EventID: "$1"}, IsFallingBack: true,
		}},
		"outside":          {bot.Reply{Cause: "$2", Room: "!r"}, false, &event.RelatesTo{InReplyTo: &event.InReplyTo{EventID: "$2"}}},
		"of an invitation": {bot.Reply{Cause: "invitation/!r", Room: "!r"}, false, nil},
		"a reminder":       {bot.Reply{Room: "!r"}, false, nil},
		"alone":            {bot.Reply{Cause: "$2", Room: "@a:b", To: "@a:b"}, false, nil},
	} {
		if diff := cmp.Diff(c.want, contentsOf(c.reply, c.threaded)[0].RelatesTo); diff != "" {
			t.Errorf("%s (- wanted, + got):\n%s", name, diff)
		}
	}
}

func TestLongTextsAreCut(t *testing.T) {
	line := strings.Repeat("é", 100) + "\n"
	for name, text := range map[string]string{
		"short": "one line", "lines": strings.Repeat(line, 1000), "one line": strings.Repeat("é", 40_000),
		"a long second line": "first\n" + strings.Repeat("x", 30_000), "empty": "",
	} {
		got := parts(text)
		var joined strings.Builder
		for n, part := range got {
			if len(part) > mostBody+len(sayContinued)+1 || !utf8.ValidString(part) {
				t.Errorf("%s: a part of %d bytes", name, len(part))
			}
			if n > 0 {
				var is bool
				if part, is = strings.CutPrefix(part, sayContinued+"\n"); !is {
					t.Errorf("%s: part %d begins with %.20q", name, n, part)
				}
			}
			joined.WriteString(part)
		}
		if strings.ReplaceAll(joined.String(), "\n", "") != strings.ReplaceAll(text, "\n", "") {
			t.Errorf("%s: something is lost in %d parts", name, len(got))
		}
	}
}

func TestNamesOfMessagesDiffer(t *testing.T) {
	seen := map[string]bool{}
	for _, key := range []string{"$1/1", "$1/2", "$1", "1/$1"} {
		for n := range 3 {
			seen[txnOf(key, n)] = true
		}
	}
	if len(seen) != 12 {
		t.Errorf("%d names for 12 messages", len(seen))
	}
	if first, again := txnOf("$1/1", 0), txnOf("$1/1", 0); first != again {
		t.Errorf("the same message gets another name: %s, %s", first, again)
	}
}

// TestHowLongToWait: the specification has retry_after_ms in the body, and since version 1.10 the Retry-After header
// (Client-Server API, "Rate limiting"; from memory). Where both are given, the longer is meant here.
func TestHowLongToWait(t *testing.T) {
	limited := func(ms any, header string) error {
		return mautrix.HTTPError{
			Response:  &http.Response{StatusCode: http.StatusTooManyRequests, Header: http.Header{"Retry-After": {header}}},
			RespError: &mautrix.RespError{ErrCode: "M_LIMIT_EXCEEDED", ExtraData: map[string]any{"retry_after_ms": ms}},
		}
	}
	for name, c := range map[string]struct {
		err   error
		tries int
		want  time.Duration
	}{
		"the body":          {limited(2000.0, ""), 0, 2 * time.Second},
		"the header":        {limited(nil, "3"), 0, 3 * time.Second},
		"the longer":        {limited(9000.0, "3"), 0, 9 * time.Second},
		"below nothing":     {limited(-50.0, ""), 5, leastWait},
		"nonsense":          {limited("soon", "soon"), 5, leastWait},
		"for ever":          {limited(1e18, "99999999"), 0, mostWait},
		"other, first":      {errors.New("away"), 0, leastWait},
		"other, third":      {errors.New("away"), 2, 4 * leastWait},
		"other, very often": {errors.New("away"), 1000, mostAway},
	} {
		if got := wait(c.err, c.tries); got != c.want {
			t.Errorf("%s: %v, wanted %v", name, got, c.want)
		}
	}
}

func TestWhatSomebodySays(t *testing.T) {
	const head = `{"type":"m.room.message","event_id":"$e","room_id":"!r","sender":"@ana:a","origin_server_ts":1772442900000,"content":`
	whole := bot.Message{ID: "$e", Room: "!r", From: "@ana:a", At: time.Date(2026, 3, 2, 9, 15, 0, 0, time.UTC)}
	with := func(change func(m *bot.Message)) *bot.Message { m := whole; change(&m); return &m }
	for content, want := range map[string]*bot.Message{
		`{"msgtype":"m.text","body":"clear"}`:                                                    with(func(m *bot.Message) { m.Text = "clear" }),
		`{"msgtype":"m.text","body":"a","m.relates_to":{"rel_type":"m.thread","event_id":"$t"}}`: with(func(m *bot.Message) { m.Text, m.Thread = "a", "$t" }),
		`{"msgtype":"m.text","body":"* b","m.new_content":{"msgtype":"m.text","body":"b"},"m.relates_to":{"rel_type":"m.replace","event_id":"$o"}}`: with(func(m *bot.Message) {
			m.Text, m.Replaces = "b", "$o"
		}),
		`{"msgtype":"m.text","body":"* b","m.relates_to":{"rel_type":"m.replace","event_id":"$o"}}`: nil, // the fallback is for eyes alone
		`{"msgtype":"m.image","body":"photo.jpg","url":"mxc://a/b"}`:                                with(func(*bot.Message) {}),
		`{"msgtype":"m.image","body":"the pin","filename":"photo.jpg","url":"mxc://a/b"}`:           with(func(m *bot.Message) { m.Text = "the pin" }),
		`{"msgtype":"m.notice","body":"clear"}`:                                                     nil,
		`{"msgtype":"m.emote","body":"clear"}`:                                                      nil,
		`{"msgtype":"m.location","body":"clear"}`:                                                   nil,
		`{"body":"clear"}`: nil,
		`{}`:               nil,
	} {
		var evt event.Event
		if err := json.Unmarshal([]byte(head+content+"}"), &evt); err != nil {
			t.Fatal(err)
		}
		evt.Type.Class = event.MessageEventType
		if err := evt.Content.ParseRaw(evt.Type); err != nil {
			t.Fatal(err)
		}
		got, is := messageOf(&evt)
		if is != (want != nil) {
			t.Errorf("%s: a message: %v", content, is)
		} else if want != nil {
			if diff := cmp.Diff(*want, got); diff != "" {
				t.Errorf("%s (- wanted, + got):\n%s", content, diff)
			}
		}
	}
}
