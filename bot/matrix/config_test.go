//go:build goolm

package matrix

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"maunium.net/go/mautrix/id"
)

// TestConfig: everything that is missing is said at once, and nothing else.
func TestConfig(t *testing.T) {
	t.Setenv(passwordVariable, "")
	t.Setenv(recoveryVariable, "")
	file := filepath.Join(t.TempDir(), "becket.yaml")
	read := func(text string) (Config, error) {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return ReadConfig(file)
	}
	empty := filepath.Join(t.TempDir(), "empty")
	if err := os.WriteFile(empty, []byte(" \n"), 0o600); err != nil {
		t.Fatal(err)
	}
	const homeserver, user, password, nobody = `"homeserver" is where`, `"user" is the account`, "password is missing", "Nobody may invite"
	for text, want := range map[string][]string{
		"":                      {homeserver, user, password, nobody},
		"{}":                    {homeserver, user, password, nobody},
		"homeserver: ftp://x":   {homeserver, user, password, nobody},
		"homeserver: http://x":  {user, password, nobody},
		"server: x":             {"unknown field", homeserver, user, password, nobody},
		"allow: {users: [ana]}": {homeserver, user, password, `"ana" under "allow" is no person`},
		"allow: {servers: [\"@ana:x\", https://x, x]}": {homeserver, user, password, `"@ana:x" under "allow" is no server`, `"https://x" under "allow" is no server`},
		"password_file: /nowhere/at/all":               {homeserver, user, `"password_file" names a file that can't be read`, nobody},
		"password_file: " + empty:                      {homeserver, user, `"password_file" names ` + empty + ", and there is nothing in it", nobody},
		"recovery_key_file: /nowhere/at/all":           {homeserver, user, password, `"recovery_key_file" names a file that can't be read`, nobody},
		"database: /nowhere/at/all/t.db":               {homeserver, user, password, `"database" lies in /nowhere/at/all, and there is no such folder`, nobody},
		"homeserver: [":                                {"isn't written as it should be"},
		"homeserver: {a: b}":                           {"isn't written as it should be"},
	} {
		_, err := read(text)
		if err == nil {
			t.Errorf("%.30q is taken", text)
			continue
		}
		for _, w := range want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%.30q: wanted %q, got: %v", text, w, err)
			}
		}
		others := 0
		for _, sentence := range []string{homeserver, user, password, nobody} {
			if strings.Contains(err.Error(), sentence) {
				others++
			}
			if slices.Contains(want, sentence) {
				others--
			}
		}
		if others != 0 {
			t.Errorf("%.30q: says what isn't so: %v", text, err)
		}
	}
	if _, err := ReadConfig(filepath.Join(t.TempDir(), "none.yaml")); err == nil || !strings.Contains(err.Error(), "becket serve --example") {
		t.Errorf("no file at all: %v", err)
	}
	t.Setenv(passwordVariable, "a secret")
	example := strings.Replace(Example, "password_file:", "# password_file:", 1)
	c, err := read(strings.Replace(example, "/var/lib/becket/", t.TempDir()+"/", 1))
	if err != nil {
		t.Fatalf("the example, with its password from the environment: %v", err)
	}
	for person, want := range map[id.UserID]bool{
		"@ana:elsewhere.example": true, "@ben:example.org": true, "@ben:elsewhere.example": false,
		"@ben:example.org.evil.example": false, "ben:example.org": false, "": false,
	} {
		if c.allows(person) != want {
			t.Errorf("%q may invite: %v", person, !want)
		}
	}
}
