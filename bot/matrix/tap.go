//go:build goolm

package matrix

import (
	"context"
	"slices"
	"strings"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"becket/bot"
	"becket/store"
	"becket/store/device"
)

// reacts tells whether questions get signs to be tapped. They are never encrypted: the homeserver sees each, and could make
// one up. So in an encrypted room there are none unless somebody has asked for them.
func (c Config) reacts(encrypted bool) bool {
	return c.Reactions == "yes" || c.Reactions == "" && !encrypted
}

// offerKept is how long a sign under a question is remembered. A tap after that is none of ours.
const offerKept = 30 * 24 * time.Hour

// offer has signs put under a question once nothing else waits to be said. Those of the question before aren't worth
// putting any more. What is asked again after a refusal has them already.
func (r *service) offer(room id.RoomID, encrypted bool, question string, reply bot.Reply) {
	if reply.Ask == nil || reply.Refused || !r.Config.reacts(encrypted) {
		return
	}
	r.outbox.offers = slices.DeleteFunc(r.outbox.offers, func(o device.Offer) bool { return o.Room == room.String() })
	for _, sign := range reply.Ask.Taps() {
		r.outbox.offers = append(r.outbox.offers, device.Offer{Room: room.String(), Event: question, Sign: sign, Reply: reply.Key})
	}
}

// putSign puts the next sign under its question. One that fails is left out: its word can be typed.
func (r *service) putSign(ctx context.Context) error {
	if len(r.outbox.offers) == 0 || time.Until(r.outbox.paused) > 0 {
		return nil
	}
	o := r.outbox.offers[0]
	r.outbox.offers = r.outbox.offers[1:]
	if err := r.side.KeepOffer(ctx, o, time.Now()); err != nil { // before anybody can tap it
		return err
	}
	content := event.ReactionEventContent{RelatesTo: event.RelatesTo{Type: event.RelAnnotation, EventID: id.EventID(o.Event), Key: o.Sign}}
	sending, stop := context.WithTimeout(context.WithoutCancel(ctx), sendTime)
	defer stop()
	_, err := r.cli.SendMessageEvent(sending, id.RoomID(o.Room), event.EventReaction, &content,
		mautrix.ReqSendEvent{TransactionID: txnOf(o.Reply+"/"+o.Sign, 0), DontEncrypt: true})
	if _, limited := limitOf(err); limited {
		r.pauseAll(wait(err, 0))
	} else if err == nil || isAway(err) { // it may be there all the same
		return nil
	}
	return r.side.ForgetOffer(ctx, o)
}

// tapped makes a message of a tap on a sign that we put under a question. All other reactions are people's among themselves.
func (r *service) tapped(ctx context.Context, evt *event.Event) ([]store.Incoming, error) {
	content, ok := evt.Content.Parsed.(*event.ReactionEventContent)
	if !ok || content.RelatesTo.Type != event.RelAnnotation {
		return nil, nil
	}
	sign := strings.NewReplacer("\ufe0e", "", "\ufe0f", "").Replace(content.RelatesTo.Key) // some apps choose a picture's style by these
	o, found, err := r.side.Offered(ctx, evt.RoomID.String(), content.RelatesTo.EventID.String(), sign)
	if err != nil || !found {
		return nil, err
	}
	if err := r.side.Overtake(ctx, o.Room, evt.Sender.String()); err != nil {
		return nil, err
	}
	return r.incoming(ctx, bot.Message{
		ID: tapID + evt.ID.String(), Room: o.Room, From: evt.Sender.String(), At: sentAt(evt), Text: o.Sign, Answers: o.Reply,
	})
}
