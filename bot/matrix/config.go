//go:build goolm

package matrix

import (
	_ "embed"
	"errors"
	"fmt"
	"net/url"
	"os"
	"slices"
	"strings"

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
	if err := yaml.UnmarshalWithOptions(text, &c, yaml.DisallowUnknownField()); err != nil {
		return Config{}, fmt.Errorf("%s isn't written as it should be:\n%s", file, yaml.FormatError(err, false, true))
	}
	c.password, err = secret(c.PasswordFile, passwordVariable)
	problems := []error{err}
	c.recoveryKey, err = secret(c.RecoveryKeyFile, recoveryVariable)
	problems = append(problems, err)
	if err := errors.Join(append(problems, c.missing()...)...); err != nil {
		return Config{}, fmt.Errorf("%s can't be used yet:\n%w", file, err)
	}
	return c, nil
}

// secret reads a secret from a file, or from the environment where no file is named.
func secret(file, variable string) (string, error) {
	if file == "" {
		return os.Getenv(variable), nil
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return "", fmt.Errorf("the secret can't be read: %w", err)
	}
	return strings.TrimSpace(string(text)), nil
}

func (c Config) missing() (all []error) {
	say := func(sentence string) { all = append(all, errors.New(sentence)) }
	if u, err := url.Parse(c.Homeserver); err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
		say("\"homeserver\" is where the homeserver is reached, like https://matrix.example.org.")
	}
	if _, _, err := id.UserID(c.User).Parse(); err != nil {
		say("\"user\" is the account that Becket has for itself, like \"@becket:example.org\".")
	}
	if c.password == "" {
		say("The account's password is missing: name a file with it under \"password_file\", or set " + passwordVariable + ".")
	}
	if len(c.Allow.Servers)+len(c.Allow.Users) == 0 {
		say("Nobody may invite Becket: list servers, like example.org, or people, like \"@ana:example.org\", under \"allow\".")
	}
	for _, u := range c.Allow.Users {
		if _, _, err := id.UserID(u).Parse(); err != nil {
			say(fmt.Sprintf("%q under \"allow\" is no person; write it like \"@ana:example.org\".", u))
		}
	}
	if c.Reactions != "" && c.Reactions != "yes" && c.Reactions != "no" {
		say("\"reactions\" is yes or no; without it there are some in rooms without encryption only.")
	}
	return all
}

// allows tells whether somebody may invite Becket into a room.
func (c Config) allows(person id.UserID) bool {
	_, server, err := person.Parse()
	return err == nil && (slices.Contains(c.Allow.Users, person.String()) || slices.Contains(c.Allow.Servers, server))
}
