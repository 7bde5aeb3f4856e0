//go:build goolm

package matrix

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html"
	"strings"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/bot"
)

// mostBody is how many bytes of text go into one message. An event has at most 64 KiB, encrypted and with its HTML.
const mostBody = 12_000

// contentsOf is a reply as messages: one, unless it is too long. Text that must be answered is m.text; all else is
// m.notice, which bots don't answer. The body is complete by itself.
func contentsOf(reply bot.Reply, threaded bool) []*event.MessageEventContent {
	kind := event.MsgNotice
	if reply.Ask != nil {
		kind = event.MsgText
	}
	var all []*event.MessageEventContent
	if reply.Text == "" && len(reply.Files) > 0 {
		return nil
	}
	for _, text := range parts(reply.Text) {
		// An empty list of mentions keeps "@room" in somebody's note from ringing everywhere.
		c := &event.MessageEventContent{MsgType: kind, Body: text, Mentions: &event.Mentions{}, RelatesTo: relation(reply, threaded)}
		if formatted, emphasised := emphasise(text, reply.Ask); emphasised {
			c.Format, c.FormattedBody = event.FormatHTML, formatted
		}
		all = append(all, c)
	}
	return all
}

// relation puts a reply into its thread, or else makes it an answer to what caused it.
func relation(reply bot.Reply, threaded bool) *event.RelatesTo {
	var to *event.InReplyTo
	if strings.HasPrefix(reply.Cause, "$") && reply.Room != reply.To { // in a room of its own there is nothing to point at
		to = &event.InReplyTo{EventID: id.EventID(reply.Cause)}
	}
	switch {
	case threaded:
		if to == nil {
			to = &event.InReplyTo{EventID: id.EventID(reply.Thread)}
		}
		return &event.RelatesTo{Type: event.RelThread, EventID: id.EventID(reply.Thread), InReplyTo: to, IsFallingBack: true}
	case to != nil:
		return &event.RelatesTo{InReplyTo: to}
	}
	return nil
}

// emphasise sets the letters that can be chosen, and where in the inspection we are, in bold. Everything else is shown as
// it stands: marks and notes from people make no HTML.
func emphasise(text string, ask *bot.Ask) (formatted string, emphasised bool) {
	if ask == nil {
		return "", false
	}
	place := fmt.Sprintf("%d of %d", ask.Position, ask.Of)
	choices := map[string]string{}
	for _, c := range ask.Choices {
		choices[fmt.Sprintf("  %s  %s", c.Key, c.Label)] = fmt.Sprintf("<strong>%s</strong> %s", html.EscapeString(c.Key), html.EscapeString(c.Label))
	}
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		rest, here := strings.CutPrefix(line, place)
		switch choice, is := choices[line]; {
		case is:
			line, emphasised = choice, true
		case here && ask.Position > 0:
			line, emphasised = "<strong>"+place+"</strong>"+html.EscapeString(rest), true
		default:
			line = html.EscapeString(line)
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "<br>"), emphasised
}

// parts cuts a long text between its lines, and a line that is too long by itself wherever it must be.
func parts(text string) []string {
	var all []string
	lead := ""
	for len(text) > mostBody {
		cut := strings.LastIndexByte(text[:mostBody], '\n') + 1
		if cut == 0 {
			cut = len(strings.ToValidUTF8(text[:mostBody], ""))
		}
		all = append(all, lead+strings.TrimSuffix(text[:cut], "\n"))
		lead, text = sayContinued+"\n", text[cut:]
	}
	return append(all, lead+text)
}

// txnOf names the nth message of a reply for the homeserver: always the same, so that it is said once.
func txnOf(key string, n int) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d/%s", n, key))
	return "becket" + hex.EncodeToString(sum[:16])
}
