package bot

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"becket/prompts"
	"becket/store"
)

// Wording puts guidance in words that were made beforehand, as a reply leaves. It is nowhere on the way from a message to what is
// written down, and asks no model while anybody waits. A nil one leaves everything as it is.
type Wording struct {
	Language string // of the rewordings; they are made of English
	Reviewed *prompts.Reviewed
	Checker  *prompts.Checker
	Model    *prompts.Model // nil: only what somebody has read is used
}

// Out gives a reply as it leaves, and settles it: sent again after a failure, it says the same. Only a text of guidance that stands in the
// reply word for word is ever replaced; on any doubt it stays.
func (w *Wording) Out(ctx context.Context, db *store.DB, o store.Outgoing) (store.Outgoing, error) {
	if o.Guidance == "" {
		return o, nil
	}
	var texts []string
	if err := json.Unmarshal([]byte(o.Guidance), &texts); err != nil {
		return o, fmt.Errorf("reading which guidance a reply holds: %w", err)
	}
	for _, text := range texts {
		to, err := w.find(ctx, db, text)
		if err != nil {
			return o, err
		}
		if to != "" {
			o.Body = exchange(o.Body, text, to)
		}
	}
	o.Guidance = ""
	return o, db.Settle(ctx, o)
}

// find looks up what a text may be said as; empty: as it is. What was kept is checked once more, whoever has had the file meanwhile.
func (w *Wording) find(ctx context.Context, db *store.DB, text string) (to string, err error) {
	if w == nil {
		return "", nil
	}
	if to, is := w.Reviewed.For(text, w.Language); is {
		return to, nil
	}
	if w.Model == nil || w.Language != prompts.English {
		return "", nil // what nobody has read in another language isn't said in it
	}
	err = db.View(ctx, func(tx *store.Tx) error {
		kept, found, err := tx.Wording(w.key(text), string(prompts.Accepted))
		if found && len(w.Checker.Objections(text, kept.Text, w.Language)) == 0 {
			to = kept.Text
		}
		return err
	})
	return to, err
}

// Has tells whether there is another wording of a text, so that a reply without one needn't be settled.
func (w *Wording) Has(tx *store.Tx, text string) (bool, error) {
	if _, is := w.Reviewed.For(text, w.Language); is {
		return true, nil
	}
	if w.Model == nil || w.Language != prompts.English {
		return false, nil
	}
	_, found, err := tx.Wording(w.key(text), string(prompts.Accepted))
	return found, err
}

func (w *Wording) key(text string) string { return prompts.Key(text, w.Language, w.Model.Name()) }

// exchange replaces a text in a reply's words by another, and leaves every other byte of the reply as it is.
func exchange(body []byte, text, to string) []byte {
	var r struct {
		Text string `json:"text"`
		HTML string `json:"html"`
	}
	if err := json.Unmarshal(body, &r); err != nil || r.HTML != "" {
		return body
	}
	at := strings.LastIndex(r.Text, text) // what a person wrote stands before what is asked
	if at < 0 {
		return body
	}
	was, err := json.Marshal(r.Text)
	if err != nil {
		return body
	}
	now, err := json.Marshal(r.Text[:at] + to + r.Text[at+len(text):])
	if err != nil {
		return body
	}
	name := []byte(`"text":`)
	return bytes.Replace(body, append(name, was...), append(bytes.Clone(name), now...), 1)
}

// Fill has the model reword each text that it wasn't asked about yet, one after the other, while nobody waits for it. What becomes of each
// is kept. It ends when all are done, when ctx does, or when the server is to be left alone for a while.
func (w *Wording) Fill(ctx context.Context, db *store.DB, texts []string) error {
	if w == nil || w.Model == nil || w.Language != prompts.English {
		return nil
	}
	for _, text := range texts {
		settled, err := w.settled(ctx, db, text)
		if err != nil {
			return err
		}
		if settled {
			continue
		}
		try := w.Model.Reword(ctx, text, w.Language)
		if ctx.Err() != nil || try.Resting() {
			return nil
		}
		if err := db.Do(ctx, func(tx *store.Tx) error { return tx.KeepWording(w.kept(try)) }); err != nil {
			return err
		}
	}
	return nil
}

// settled tells whether there is nothing to ask about a text any more. A try that failed may be made again.
func (w *Wording) settled(ctx context.Context, db *store.DB, text string) (is bool, err error) {
	if _, is := w.Reviewed.For(text, w.Language); is {
		return true, nil
	}
	err = db.View(ctx, func(tx *store.Tx) error {
		for _, choice := range []prompts.Choice{prompts.Accepted, prompts.Refused} {
			_, found, err := tx.Wording(w.key(text), string(choice))
			if err != nil || found {
				is = found
				return err
			}
		}
		return nil
	})
	return is, err
}

func (w *Wording) kept(try prompts.Try) store.WordingTry {
	kept := store.WordingTry{
		Key: w.key(try.Original), Language: try.Language, Model: try.Model, Original: try.Original, Said: try.Said, Choice: string(try.Choice), Text: try.Text,
	}
	for _, o := range try.Objections {
		kept.Checks = append(kept.Checks, o.String())
	}
	return kept
}

// Explained lists the explanations of all families that can be inspected, each once: all that a model may reword.
func (b *Bot) Explained() (all []Explanation) {
	seen := map[string]bool{}
	for _, f := range b.families() {
		for _, s := range f.Steps() {
			words, found := b.guidance.For(stepOf(f, s))
			if found && !seen[words.Explained] {
				seen[words.Explained] = true
				all = append(all, Explanation{f.ID + "." + s.ID(), words.Explained})
			}
		}
	}
	return all
}

// Explanation is one text of guidance, and a step that it belongs to, as FAMILY.STEP.
type Explanation struct{ Key, Text string }
