package bot

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"slices"
	"strings"

	"becket/bot/translate"
	"becket/prompts"
	"becket/store"
)

// Wording puts guidance in words that were made beforehand, as a reply leaves. It is nowhere on the way from a message to what is
// written down, and asks no model while anybody waits. A nil one leaves everything as it is.
type Wording struct {
	Reviewed  *prompts.Reviewed
	Checker   *prompts.Checker
	Model     *prompts.Model       // nil: only what somebody has read is used
	Languages *translate.Catalogue // says in each language whose translation something is
}

// Out gives a reply as it leaves, and settles it: sent again after a failure, it says the same. Only a text of guidance that stands in the
// reply word for word is ever replaced; on any doubt it stays.
func (w *Wording) Out(ctx context.Context, db *store.DB, o store.Outgoing) (store.Outgoing, error) {
	if o.Guidance == "" {
		return o, nil
	}
	var g store.Guidance
	if err := json.Unmarshal([]byte(o.Guidance), &g); err != nil {
		g = store.Guidance{}
	}
	for _, text := range g.Texts {
		to, err := w.find(ctx, db, text, g.Language)
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

// find looks up what a text may be said as to somebody who is answered in a language; empty: as it is.
func (w *Wording) find(ctx context.Context, db *store.DB, text, language string) (to string, err error) {
	if w == nil {
		return "", nil
	}
	err = db.View(ctx, func(tx *store.Tx) error {
		to, err = w.said(tx, text, language)
		return err
	})
	return to, err
}

// said is what a text may be said as: in the reader's language, else in other English words. What somebody has read comes before what a model
// said, and after a model's translation stands the original, which counts. What was kept is checked once more, whoever has had the file meanwhile.
func (w *Wording) said(tx *store.Tx, text, language string) (string, error) {
	for _, l := range languages(language) {
		if to, is := w.Reviewed.For(text, l); is {
			return to, nil
		}
		if w.Model == nil {
			continue
		}
		kept, found, err := tx.Wording(w.key(text, l), string(prompts.Accepted))
		switch {
		case err != nil:
			return "", err
		case !found || len(w.Checker.Objections(text, kept.Text, l)) > 0:
		case l == prompts.English:
			return kept.Text, nil
		default:
			return joined(kept.Text, w.Languages.Say(l, guidanceByMachine), text), nil
		}
	}
	return "", nil
}

// Has tells whether there may be another wording of a text for somebody who is answered in a language, so that a reply without one needn't be
// settled. It only looks: a conversation waits for it.
func (w *Wording) Has(tx *store.Tx, text, language string) (bool, error) {
	for _, l := range languages(language) {
		if _, is := w.Reviewed.For(text, l); is {
			return true, nil
		}
		if w.Model == nil {
			continue
		}
		if _, found, err := tx.Wording(w.key(text, l), string(prompts.Accepted)); err != nil || found {
			return found, err
		}
	}
	return false, nil
}

// languages are those in which something may be said to somebody who is answered in one: that, and failing it English.
func languages(theirs string) []string {
	return slices.Compact([]string{cmp.Or(theirs, prompts.English), prompts.English})
}

func (w *Wording) key(text, language string) string {
	return prompts.Key(text, language, w.Model.Name())
}

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

// Fill has the model reword each text that it wasn't asked about yet, one after the other, while nobody waits for it: in English, and in each other
// language that somebody is answered in. What becomes of each is kept. It ends when all are done, when ctx does, or when the server is to be
// left alone for a while.
func (w *Wording) Fill(ctx context.Context, db *store.DB, texts []string) error {
	if w == nil || w.Model == nil {
		return nil
	}
	chosen, err := w.chosen(ctx, db)
	if err != nil {
		return err
	}
	for _, language := range chosen {
		for _, text := range texts {
			settled, err := w.settled(ctx, db, text, language)
			if err != nil {
				return err
			}
			if settled {
				continue
			}
			try := w.Model.Reword(ctx, text, language)
			if ctx.Err() != nil || try.Resting() {
				return nil
			}
			if err := db.Do(ctx, func(tx *store.Tx) error { return tx.KeepWording(w.kept(try)) }); err != nil {
				return err
			}
		}
	}
	return nil
}

// chosen lists the languages to ask for: English, and of the others that can be checked those that somebody has chosen.
func (w *Wording) chosen(ctx context.Context, db *store.DB) (all []string, err error) {
	err = db.View(ctx, func(tx *store.Tx) error {
		all, err = tx.Languages()
		return err
	})
	known := w.Checker.Languages()
	all = slices.DeleteFunc(all, func(l string) bool { return l == prompts.English || !slices.Contains(known, l) })
	return append([]string{prompts.English}, all...), err
}

// settled tells whether there is nothing to ask about a text any more. A try that failed may be made again.
func (w *Wording) settled(ctx context.Context, db *store.DB, text, language string) (is bool, err error) {
	if _, is := w.Reviewed.For(text, language); is {
		return true, nil
	}
	err = db.View(ctx, func(tx *store.Tx) error {
		for _, choice := range []prompts.Choice{prompts.Accepted, prompts.Refused} {
			_, found, err := tx.Wording(w.key(text, language), string(choice))
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
		Key: w.key(try.Original, try.Language), Language: try.Language, Model: try.Model, Original: try.Original, Said: try.Said, Choice: string(try.Choice), Text: try.Text,
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
