//go:build goolm

package matrix

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html"
	"strings"
	"unicode/utf8"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/bot"
)

// mostBody is how much text goes into one message, in bytes as they are written on the wire. An event has at most 64 KiB,
// encrypted and with its HTML.
const mostBody = 12_000

// contentsOf is a reply as messages: one, unless it is too long. The body is complete by itself.
func contentsOf(reply bot.Reply, threaded bool) []*event.MessageEventContent {
	var all []*event.MessageEventContent
	if reply.Text == "" && len(reply.Files) > 0 {
		return nil
	}
	for _, text := range parts(reply.Text) {
		// An empty list of mentions keeps "@room" in somebody's note from ringing everywhere.
		c := &event.MessageEventContent{MsgType: kindOf(reply), Body: text, Mentions: &event.Mentions{}, RelatesTo: relation(reply, threaded)}
		if formatted, differs := emphasise(text, reply.Ask); differs && fitting(formatted, 2*mostBody) == len(formatted) {
			c.Format, c.FormattedBody = event.FormatHTML, formatted
		}
		all = append(all, c)
	}
	return all
}

// kindOf is m.text for all that is to be read: apps show a notice in grey, and tell nobody that one has come, not even whom it
// concerns. Only that nothing was done, which asks for nothing, is a notice: other bots don't answer those, and so two bots
// don't go on for ever refusing each other's words.
func kindOf(reply bot.Reply) event.MessageType {
	if reply.Refused && reply.Ask == nil {
		return event.MsgNotice
	}
	return event.MsgText
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

// emphasise sets the letters that can be chosen, and where in the inspection we are, in bold, and keeps what is set in from
// the margin there, which HTML wouldn't. Everything else is shown as it stands: marks and notes from people make no HTML.
func emphasise(text string, ask *bot.Ask) (formatted string, differs bool) {
	place, choices := "", map[string]bot.Choice{}
	if ask != nil {
		for _, c := range ask.Choices {
			choices[fmt.Sprintf("%s  %s", c.Key, c.Label)] = c
		}
		if ask.Position > 0 {
			place = fmt.Sprintf("%d of %d", ask.Position, ask.Of)
		}
	}
	var lines []string
	for line := range strings.SplitSeq(text, "\n") {
		bare := strings.TrimLeft(line, " ")
		margin := strings.Repeat(noBreak, len(line)-len(bare))
		choice, chosen := choices[bare]
		rest, here := strings.CutPrefix(bare, place)
		switch {
		case chosen:
			bare = "<strong>" + html.EscapeString(choice.Key) + "</strong>" + noBreak + " " + html.EscapeString(choice.Label)
		case here && place != "":
			bare = "<strong>" + place + "</strong>" + html.EscapeString(rest)
		default:
			bare = html.EscapeString(bare)
		}
		differs = differs || chosen || here && place != "" || margin != ""
		lines = append(lines, margin+bare)
	}
	return strings.Join(lines, "<br>"), differs
}

// noBreak is a space that HTML keeps.
const noBreak = "\u00a0"

// parts cuts a long text between its lines, and a line that is too long by itself wherever it must be.
func parts(text string) []string {
	var all []string
	lead := ""
	for cut := fitting(text, mostBody); cut < len(text); cut = fitting(text, mostBody) {
		if line := strings.LastIndexByte(text[:cut], '\n') + 1; line > 0 {
			cut = line
		}
		all = append(all, lead+strings.TrimSuffix(text[:cut], "\n"))
		lead, text = sayContinued+"\n", text[cut:]
	}
	return append(all, lead+text)
}

// fitting is how much of a text fits into so many bytes on the wire, where some characters take up six.
func fitting(text string, most int) int {
	for n, r := range text {
		switch {
		case r < ' ' || strings.ContainsRune("<>&\u2028\u2029\ufffd", r):
			most -= 6
		case r == '"' || r == '\\':
			most -= 2
		default:
			most -= utf8.RuneLen(r)
		}
		if most < 0 {
			return n
		}
	}
	return len(text)
}

// txnOf names the nth message of a reply for the homeserver: always the same, so that it is said once.
func txnOf(key string, n int) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d/%s", n, key))
	return "becket" + hex.EncodeToString(sum[:16])
}
