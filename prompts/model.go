package prompts

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"sync/atomic"
	"time"

	"github.com/sashabaranov/go-openai"
	"github.com/sony/gobreaker/v2"
)

// Server is where a language model answers, over the protocol that most servers speak (chat completions).
type Server struct {
	URL    string        // with the version, like http://127.0.0.1:8080/v1
	Model  string        // its name there; some servers have one only and take any
	Key    string        // empty where none is needed
	Budget time.Duration // for all of one try; 0: 1.5 seconds
	Rest   time.Duration // how long a server that failed five times running is left alone; 0: a minute
}

const (
	usualBudget  = 1500 * time.Millisecond
	usualRest    = time.Minute
	mostFailures = 5
	mostAtOnce   = 2
	mostBytes    = 64 << 10 // of an answer
)

// Model rewords texts. What it says is only ever checked: nothing in it decides anything. Many may use it at once.
type Model struct {
	client  *openai.Client
	server  Server
	checker *Checker
	breaker *gobreaker.CircuitBreaker[string]
	places  chan struct{}
	plain   atomic.Bool // the server refuses to be held to a form
}

// NewModel makes a Model. It doesn't reach for the server yet.
func NewModel(s Server, c *Checker) *Model {
	s.Budget, s.Rest = cmp.Or(s.Budget, usualBudget), cmp.Or(s.Rest, usualRest)
	config := openai.DefaultConfig(cmp.Or(s.Key, "none")) // some want one, whatever it is
	config.BaseURL = strings.TrimRight(s.URL, "/")
	config.HTTPClient = &http.Client{
		Transport: bounded{http.DefaultTransport},
		CheckRedirect: func(*http.Request, []*http.Request) error {
			return errors.New("the server sends us elsewhere, and we don't go")
		},
	}
	return &Model{
		client: openai.NewClientWithConfig(config), server: s, checker: c, places: make(chan struct{}, mostAtOnce),
		breaker: gobreaker.NewCircuitBreaker[string](gobreaker.Settings{
			MaxRequests: 1, Timeout: s.Rest,
			ReadyToTrip: func(counts gobreaker.Counts) bool { return counts.ConsecutiveFailures >= mostFailures },
			IsExcluded:  func(err error) bool { return errors.Is(err, context.Canceled) },
		}),
	}
}

// Name is the model's name at its server.
func (m *Model) Name() string { return m.server.Model }

// bounded reads only so much of any answer.
type bounded struct{ inner http.RoundTripper }

func (b bounded) RoundTrip(req *http.Request) (*http.Response, error) {
	resp, err := b.inner.RoundTrip(req)
	if err == nil {
		resp.Body = struct {
			io.Reader
			io.Closer
		}{io.LimitReader(resp.Body, mostBytes), resp.Body}
	}
	return resp, err
}

// Choice is what became of a try.
type Choice string

const (
	Accepted Choice = "accepted" // no check objects
	Refused  Choice = "refused"  // the original serves
	Failed   Choice = "failed"   // the server didn't answer; it may be tried again
)

// Try is one go at rewording a text: all that is needed to see afterwards why it was used, or not.
type Try struct {
	Original, Language, Model string
	Said                      string // the server's own words, shortened; empty: none
	Text                      string // what may be used; empty unless accepted
	Objections                []Objection
	Choice                    Choice
}

// Resting tells of a Try that the server was left alone, since it had failed too often.
func (t Try) Resting() bool {
	return t.Choice == Failed && len(t.Objections) == 1 && t.Objections[0].Check == resting
}

const (
	resting  = "server at rest"
	noAnswer = "server"
	inForm   = "form"
	heldBack = "held words"
)

// Reword asks the model once, within the budget, and holds what it says against the original. It never fails: a Try that isn't
// accepted means that the original serves.
func (m *Model) Reword(ctx context.Context, original, language string) Try {
	t := Try{Original: original, Language: language, Model: m.server.Model, Choice: Refused}
	object := func(choice Choice, check, why string) Try {
		t.Choice, t.Objections = choice, []Objection{{check, clipped(why, 300)}}
		return t
	}
	told, is := instruction(language)
	if !is {
		return object(Refused, "language", "nothing is known here of the language "+language)
	}
	masked, held := hold(original, m.checker.languages[English])
	ctx, stop := context.WithTimeout(ctx, m.server.Budget)
	defer stop()
	select {
	case m.places <- struct{}{}:
		defer func() { <-m.places }()
	case <-ctx.Done():
		return object(Failed, noAnswer, "all places were taken for as long as a try may last")
	}
	said, err := m.breaker.Execute(func() (string, error) { return m.ask(ctx, told, masked) })
	var unusable unusableAnswer
	switch {
	case errors.Is(err, gobreaker.ErrOpenState), errors.Is(err, gobreaker.ErrTooManyRequests):
		return object(Failed, resting, "it failed too often and is left alone for a while")
	case errors.As(err, &unusable):
		return object(Refused, inForm, err.Error())
	case err != nil:
		return object(Failed, noAnswer, m.without(err.Error()))
	}
	t.Said = clipped(said, 4000)
	text, err := answerIn(said)
	if err != nil {
		return object(Refused, inForm, err.Error())
	}
	if text, err = release(text, held); err != nil {
		return object(Refused, heldBack, err.Error())
	}
	if t.Objections = m.checker.Objections(original, text, language); len(t.Objections) == 0 {
		t.Text, t.Choice = text, Accepted
	}
	return t
}

// without takes the server's key out of what is kept and shown.
func (m *Model) without(s string) string {
	if m.server.Key == "" {
		return s
	}
	return strings.ReplaceAll(s, m.server.Key, "(the key)")
}

// unusableAnswer is one that came, and can't be used whatever it says.
type unusableAnswer string

func (u unusableAnswer) Error() string { return string(u) }

// ask sends one question, and once more without a form to a server that refuses to be held to one.
func (m *Model) ask(ctx context.Context, told, text string) (string, error) {
	req := openai.ChatCompletionRequest{
		Model: m.server.Model, MaxCompletionTokens: 60 + len(text),
		Messages: []openai.ChatCompletionMessage{
			{Role: openai.ChatMessageRoleSystem, Content: told},
			{Role: openai.ChatMessageRoleUser, Content: text},
		},
	}
	if !m.plain.Load() {
		req.ResponseFormat = &openai.ChatCompletionResponseFormat{
			Type:       openai.ChatCompletionResponseFormatTypeJSONSchema,
			JSONSchema: &openai.ChatCompletionResponseFormatJSONSchema{Name: "reworded", Schema: json.RawMessage(answerSchema), Strict: true},
		}
	}
	resp, err := m.client.CreateChatCompletion(ctx, req)
	if refusesForm(err) && req.ResponseFormat != nil {
		m.plain.Store(true)
		req.ResponseFormat = nil
		resp, err = m.client.CreateChatCompletion(ctx, req)
	}
	switch {
	case err != nil:
		return "", err
	case len(resp.Choices) != 1:
		return "", unusableAnswer(fmt.Sprintf("%d answers came instead of one", len(resp.Choices)))
	case resp.Choices[0].FinishReason != openai.FinishReasonStop && resp.Choices[0].FinishReason != "":
		return "", unusableAnswer(fmt.Sprintf("it ended with %q, so it may be cut", resp.Choices[0].FinishReason))
	}
	return resp.Choices[0].Message.Content, nil
}

// refusesForm tells whether a server took offence at the question itself, as one does that can't hold a model to a form.
func refusesForm(err error) bool {
	var api *openai.APIError
	var req *openai.RequestError
	switch {
	case errors.As(err, &api):
		return api.HTTPStatusCode == http.StatusBadRequest || api.HTTPStatusCode == http.StatusUnprocessableEntity
	case errors.As(err, &req):
		return req.HTTPStatusCode == http.StatusBadRequest || req.HTTPStatusCode == http.StatusUnprocessableEntity
	}
	return false
}

// answerIn takes the text out of the form. A server that takes no notice of forms may give the text alone.
func answerIn(said string) (string, error) {
	said = strings.TrimSpace(said)
	if !strings.HasPrefix(said, "{") {
		return said, nil
	}
	decoder := json.NewDecoder(strings.NewReader(said))
	decoder.DisallowUnknownFields()
	var form struct {
		Text *string `json:"text"`
	}
	if err := decoder.Decode(&form); err != nil {
		return "", fmt.Errorf("the answer isn't in the form that was asked for: %w", err)
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) || form.Text == nil {
		return "", errors.New("the answer isn't in the form that was asked for: no text, or more after it")
	}
	return strings.TrimSpace(*form.Text), nil
}

func clipped(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
