package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"becket/bot"
	"becket/bot/translate"
	"becket/prompts"
	"becket/store"
)

// wordingFlags say which language model may reword explanations. Without a server none is asked.
type wordingFlags struct {
	Wording       string        `placeholder:"URL" help:"A server with a language model that may reword explanations, like http://127.0.0.1:8080/v1."`
	WordingModel  string        `placeholder:"NAME" help:"The model's name at that server."`
	WordingKey    string        `placeholder:"FILE" help:"A file with the server's key, where it wants one."`
	WordingBudget time.Duration `placeholder:"TIME" help:"How long one try may take, like 20s; 1.5s without. Nobody waits for it."`
}

// wording makes what rewords; nil where no server is named and nobody has read any rewording.
func (f wordingFlags) wording() (*bot.Wording, error) {
	if f.Wording == "" && !prompts.AnyReviewed() {
		return nil, nil
	}
	checker, err := prompts.NewChecker()
	if err != nil {
		return nil, err
	}
	reviewed, err := prompts.OwnReviewed(checker)
	if err != nil {
		return nil, err
	}
	languages, err := translate.Own()
	if err != nil {
		return nil, err
	}
	w := &bot.Wording{Checker: checker, Reviewed: reviewed, Languages: languages}
	if f.Wording == "" {
		return w, nil
	}
	key := ""
	if f.WordingKey != "" {
		text, err := os.ReadFile(f.WordingKey)
		if err != nil {
			return nil, fmt.Errorf("the key of the wording server can't be read: %w", err)
		}
		key = strings.TrimSpace(string(text))
	}
	w.Model = prompts.NewModel(prompts.Server{URL: f.Wording, Model: f.WordingModel, Key: key, Budget: f.WordingBudget}, checker)
	return w, nil
}

// rewords is what the conversation may ask of a Wording: nothing where there is none.
func rewords(w *bot.Wording) func(tx *store.Tx, text, language string) (bool, error) {
	if w == nil {
		return nil
	}
	return w.Has
}

// fillAgain is when texts whose tries failed are tried again.
const fillAgain = 10 * time.Minute

// fill has explanations reworded beside the conversation, until the returned function is called. The conversation never waits for it.
func fill(ctx context.Context, w *bot.Wording, b *bot.Bot, db *store.DB, errs io.Writer) (stop func()) {
	if w == nil || w.Model == nil {
		return func() {}
	}
	ctx, cancel := context.WithCancel(ctx)
	var one sync.WaitGroup
	one.Go(func() {
		for ctx.Err() == nil {
			if err := w.Fill(ctx, db, texts(b)); err != nil && ctx.Err() == nil {
				fmt.Fprintln(errs, "becket: explanations stay in their own words:", err)
			}
			select {
			case <-ctx.Done():
			case <-time.After(fillAgain):
			}
		}
	})
	return func() {
		cancel()
		one.Wait()
	}
}

func texts(b *bot.Bot) (all []string) {
	for _, e := range b.Explained() {
		all = append(all, e.Text)
	}
	return all
}
