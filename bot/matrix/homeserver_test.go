//go:build goolm && homeserver

package matrix

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/pem"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/synapseadmin"
)

// homeserver is a real one, in a folder of its own, that can be stopped and started again.
type homeserver struct {
	t      testing.TB
	folder string
	addr   string
	cmd    *exec.Cmd
	said   *bytes.Buffer // to be read once it has stopped
}

const secretOfServer = "test-secret"

// startHomeserver starts a homeserver for one test, in memory where the machine has a memory disk.
func startHomeserver(t testing.TB) *homeserver {
	t.Helper()
	program := os.Getenv("BECKET_HOMESERVER")
	if program == "" {
		t.Fatal("BECKET_HOMESERVER names no homeserver; .ci/outside builds one and runs these tests")
	}
	base := ""
	if info, err := os.Stat("/dev/shm"); err == nil && info.IsDir() {
		base = "/dev/shm"
	}
	folder, err := os.MkdirTemp(base, "becket-homeserver-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(folder) })
	config, err := os.ReadFile("testdata/dendrite.yaml")
	if err != nil {
		t.Fatal(err)
	}
	seed := make([]byte, 32)
	_, _ = rand.Read(seed)
	key := pem.EncodeToMemory(&pem.Block{Type: "MATRIX PRIVATE KEY", Headers: map[string]string{"Key-ID": "ed25519:test"}, Bytes: seed})
	for name, text := range map[string][]byte{"dendrite.yaml": config, "matrix_key.pem": key} {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	hs := &homeserver{t: t, folder: folder, addr: free.Addr().String()}
	if err := free.Close(); err != nil {
		t.Fatal(err)
	}
	hs.start()
	t.Cleanup(hs.stop)
	return hs
}

func (hs *homeserver) url() string { return "http://" + hs.addr }

func (hs *homeserver) start() {
	hs.t.Helper()
	hs.cmd = exec.Command(os.Getenv("BECKET_HOMESERVER"), "--config", "dendrite.yaml", "--http-bind-address", hs.addr)
	hs.cmd.Dir = hs.folder
	hs.said = &bytes.Buffer{}
	hs.cmd.Stdout, hs.cmd.Stderr = hs.said, hs.said
	if err := hs.cmd.Start(); err != nil {
		hs.t.Fatalf("the homeserver doesn't start: %v", err)
	}
	for range 1000 {
		resp, err := http.Get(hs.url() + "/_matrix/client/versions")
		if err == nil {
			_ = resp.Body.Close()
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	hs.stop()
	hs.t.Fatalf("the homeserver isn't there after 10 s:\n%s", hs.said)
}

// stop ends the homeserver, as the system would. Stopping it twice does nothing.
func (hs *homeserver) stop() {
	if hs.cmd == nil {
		return
	}
	_ = hs.cmd.Process.Signal(os.Interrupt)
	done := make(chan struct{})
	go func() { _ = hs.cmd.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(5 * time.Second):
		_ = hs.cmd.Process.Kill()
		<-done
	}
	hs.cmd = nil
}

// lastWords are what it complained of, the last of it. They stop it.
func (hs *homeserver) lastWords() string {
	hs.stop()
	text := hs.said.String()
	return text[max(0, len(text)-3000):]
}

// register makes an account and gives its password. Its name begins with the one given.
func (hs *homeserver) register(name string) (user, password string) {
	hs.t.Helper()
	c, err := mautrix.NewClient(hs.url(), "", "")
	if err != nil {
		hs.t.Fatal(err)
	}
	password = rand.Text()
	made, err := (&synapseadmin.Client{Client: c}).SharedSecretRegister(context.Background(), secretOfServer, synapseadmin.ReqSharedSecretRegister{
		Username: fmt.Sprintf("%s-%s", name, strings.ToLower(rand.Text()[:6])), Password: password, InhibitLogin: true,
	})
	if err != nil {
		hs.t.Fatalf("registering %s: %v", name, err)
	}
	return made.UserID.String(), password
}
