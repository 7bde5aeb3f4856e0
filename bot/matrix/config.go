//go:build goolm

package matrix

import (
	_ "embed"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/goccy/go-yaml"
	"maunium.net/go/mautrix/id"
)

// Example is a configuration file with a comment for each line.
//
//go:embed example.yaml
var Example string

// Where a secret may come from, if no file is named for it.
const (
	passwordVariable = "BECKET_PASSWORD"
	recoveryVariable = "BECKET_RECOVERY_KEY"
)

// Config is the configuration file: which account Becket uses, and whose invitations it follows.
type Config struct {
	Homeserver      string `yaml:"homeserver"` // https://matrix.example.org
	User            string `yaml:"user"`       // @becket:example.org
	PasswordFile    string `yaml:"password_file"`
	RecoveryKeyFile string `yaml:"recovery_key_file"`
	Database        string `yaml:"database"`
	Allow           struct {
		Servers []string `yaml:"servers"`
		Users   []string `yaml:"users"`
	} `yaml:"allow"`
	Reactions string `yaml:"reactions"` // yes or no; left out: in rooms without encryption

	// Wording names a server with a language model that may reword explanations; without a URL none is asked.
	Wording struct {
		URL     string        `yaml:"url"`
		Model   string        `yaml:"model"`
		KeyFile string        `yaml:"key_file"`
		For     string        `yaml:"for"`    // beginners, and nobody else
		Budget  time.Duration `yaml:"budget"` // left out: 1.5 seconds
	} `yaml:"wording"`

	password, recoveryKey string
}

// ReadConfig reads a configuration file and the secrets that it points to. Everything that is missing is said at once,
// each in a sentence.
func ReadConfig(file string) (Config, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return Config{}, fmt.Errorf("the configuration can't be read: %w; \"becket serve --example\" writes one", err)
	}
	var c Config
	problems := []error{c.read(file, text)}
	if problems[0] != nil {
		// A word that nobody knows is one mistake among others; what can't be read at all is the only one.
		if err := yaml.Unmarshal(text, &c); err != nil {
			return Config{}, problems[0]
		}
	}
	c.password, err = secret("password_file", c.PasswordFile, passwordVariable)
	problems = append(problems, err)
	c.recoveryKey, err = secret("recovery_key_file", c.RecoveryKeyFile, recoveryVariable)
	problems = append(problems, err)
	if err := errors.Join(append(problems, c.missing()...)...); err != nil {
		return Config{}, fmt.Errorf("%s can't be used yet:\n%w", file, err)
	}
	return c, nil
}

func (c *Config) read(file string, text []byte) error {
	if err := yaml.UnmarshalWithOptions(text, c, yaml.DisallowUnknownField()); err != nil {
		return fmt.Errorf("%s isn't written as it should be:\n%s", file, yaml.FormatError(err, false, true))
	}
	return nil
}

// secret reads a secret from a file, or from the environment where no file is named under the setting.
func secret(setting, file, variable string) (string, error) {
	if file == "" {
		return os.Getenv(variable), nil
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return "", fmt.Errorf("%q names a file that can't be read: %w", setting, err)
	}
	kept := strings.TrimSpace(string(text))
	if kept == "" {
		return "", fmt.Errorf("%q names %s, and there is nothing in it", setting, file)
	}
	return kept, nil
}

func (c Config) missing() (all []error) {
	say := func(sentence string, args ...any) { all = append(all, fmt.Errorf(sentence, args...)) }
	if u, err := url.Parse(c.Homeserver); err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
		say("\"homeserver\" is where the homeserver is reached, like https://matrix.example.org.")
	}
	if _, _, err := id.UserID(c.User).Parse(); err != nil {
		say("\"user\" is the account that Becket has for itself, like \"@becket:example.org\".")
	}
	if c.password == "" && c.PasswordFile == "" {
		say("The account's password is missing: name a file with it under \"password_file\", or set %s.", passwordVariable)
	}
	if folder := filepath.Dir(c.Database); c.Database != "" && !isFolder(folder) {
		say("\"database\" lies in %s, and there is no such folder.", folder)
	}
	if len(c.Allow.Servers)+len(c.Allow.Users) == 0 {
		say("Nobody may invite Becket: list servers, like example.org, or people, like \"@ana:example.org\", under \"allow\".")
	}
	for _, s := range c.Allow.Servers {
		if s == "" || strings.ContainsAny(s, "@/ ") {
			say("%q under \"allow\" is no server; write it as it stands after the colon in people's names, like example.org.", s)
		}
	}
	for _, u := range c.Allow.Users {
		if _, _, err := id.UserID(u).Parse(); err != nil {
			say("%q under \"allow\" is no person; write it like \"@ana:example.org\".", u)
		}
	}
	if u, err := url.Parse(c.Wording.URL); c.Wording.URL != "" && (err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http") {
		say("\"url\" under \"wording\" is where the language model is reached, like http://127.0.0.1:8080/v1.")
	}
	if c.Wording.For != "" && c.Wording.For != "beginners" {
		say("\"for\" under \"wording\" can only be beginners: who may sign reads what people wrote.")
	}
	return all
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// allows tells whether somebody may invite Becket into a room.
func (c Config) allows(person id.UserID) bool {
	_, server, err := person.Parse()
	return err == nil && (slices.Contains(c.Allow.Users, person.String()) || slices.Contains(c.Allow.Servers, server))
}
