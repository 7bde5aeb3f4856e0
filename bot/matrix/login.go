//go:build goolm

package matrix

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/crypto"
	"maunium.net/go/mautrix/id"
	"maunium.net/go/mautrix/sqlstatestore"

	"becket/store/device"
)

// account is Becket's account with this device logged in.
type account struct {
	cli    *mautrix.Client
	mach   *crypto.OlmMachine
	states *sqlstatestore.SQLStateStore
	signed bool // this device, by the account's own keys
}

// connect logs in as this device, the same as last time if there was one, and sees to it that its keys are on the
// homeserver and signed.
func connect(ctx context.Context, c Config, side *device.DB, tell func(string)) (*account, error) {
	cli, err := mautrix.NewClient(c.Homeserver, id.UserID(c.User), "")
	if err != nil {
		return nil, fmt.Errorf("the homeserver's address can't be used: %w", err)
	}
	cli.IgnoreRateLimit = true // waiting is ours
	login, err := logIn(ctx, c, cli, side)
	if err != nil {
		return nil, err
	}
	a := &account{cli: cli, states: sqlstatestore.NewSQLStateStore(side.Keys(), nil, false)}
	cli.StateStore = a.states
	keys := crypto.NewSQLCryptoStore(side.Keys(), nil, "", cli.DeviceID, []byte(login.PickleKey))
	if err := errors.Join(a.states.Upgrade(ctx), keys.DB.Upgrade(ctx)); err != nil {
		return nil, fmt.Errorf("the device's own file can't be brought up to date: %w", err)
	}
	a.mach = crypto.NewOlmMachine(cli, &cli.Log, keys, a.states)
	if err := a.mach.Load(ctx); err != nil {
		return nil, fmt.Errorf("the keys of this device can't be read: %w", err)
	}
	if err := a.publish(ctx, deviceFile(c)); err != nil {
		return nil, err
	}
	return a, a.identify(ctx, c, side, tell)
}

// deviceFile is where the device's keys are kept, beside the record.
func deviceFile(c Config) string { return device.Beside(c.Database) }

// logIn uses the login that is kept, or makes one. A new device's name is kept first, so that a login that broke off
// leaves no second device behind.
func logIn(ctx context.Context, c Config, cli *mautrix.Client, side *device.DB) (device.Login, error) {
	l, err := side.Login(ctx)
	if err != nil {
		return l, err
	}
	if l.Device == "" {
		l = device.Login{Homeserver: c.Homeserver, User: c.User, Device: "BECKET" + rand.Text()[:8], PickleKey: rand.Text()}
		if err := side.SetLogin(ctx, l); err != nil {
			return l, err
		}
	}
	if l.User != c.User {
		return l, fmt.Errorf("%s belongs to %s and not to %s; name another database, or move that file aside", deviceFile(c), l.User, c.User)
	}
	cli.AccessToken, cli.DeviceID = l.Token, id.DeviceID(l.Device)
	if l.Token != "" {
		_, err := cli.Whoami(ctx)
		if errors.Is(err, mautrix.MUnknownToken) {
			return l, fmt.Errorf(tellLoggedOut, l.Device, deviceFile(c))
		}
		return l, err
	}
	said, err := cli.Login(ctx, &mautrix.ReqLogin{
		Type:       mautrix.AuthTypePassword,
		Identifier: mautrix.UserIdentifier{Type: mautrix.IdentifierTypeUser, User: c.User},
		Password:   c.password, DeviceID: cli.DeviceID, InitialDeviceDisplayName: "Becket", StoreCredentials: true,
	})
	if errors.Is(err, mautrix.MForbidden) {
		return l, fmt.Errorf("the homeserver doesn't take the password of %s: %w", c.User, err)
	}
	if err != nil {
		return l, err
	}
	l.Token = said.AccessToken
	return l, side.SetLogin(ctx, l)
}

// publish puts this device's keys on the homeserver once, and refuses to go on when others are there.
func (a *account) publish(ctx context.Context, file string) error {
	found, err := a.cli.QueryKeys(ctx, &mautrix.ReqQueryKeys{DeviceKeys: map[id.UserID]mautrix.DeviceIDList{a.cli.UserID: {a.cli.DeviceID}}})
	if err != nil {
		return fmt.Errorf("asking the homeserver for the keys of this device: %w", err)
	}
	there, ok := found.DeviceKeys[a.cli.UserID][a.cli.DeviceID]
	ok = ok && len(there.Keys) > 0
	ours := ok && there.Keys.GetEd25519(a.cli.DeviceID) == a.mach.OwnIdentity().SigningKey
	switch shared := a.mach.GetAccount().Shared; {
	case shared && ours:
		return nil
	case shared, ok && !ours:
		return fmt.Errorf(tellKeysDiffer, a.cli.DeviceID, file)
	}
	return a.share(ctx)
}

// share puts the keys on the homeserver; a few times if need be, since some say no when they are only busy.
func (a *account) share(ctx context.Context) (err error) {
	const most = 5
	for tries := range most {
		if err = a.mach.ShareKeys(ctx, -1); err == nil {
			return nil
		}
		if tries < most-1 && !sleep(ctx, wait(err, tries)) {
			break
		}
	}
	return fmt.Errorf("putting the keys of this device on the homeserver: %w", err)
}

// identify has this device signed by Becket's account, so that people's apps trust it. At the first start it makes the
// account's identity and shows the recovery key, once.
func (a *account) identify(ctx context.Context, c Config, side *device.DB, tell func(string)) error {
	exists, signed, err := a.mach.GetOwnVerificationStatus(ctx)
	if err != nil {
		return fmt.Errorf("asking whether this device is signed: %w", err)
	}
	a.signed = true
	fresh, err := side.RecoveryKey(ctx)
	switch {
	case err != nil:
		return err
	case !exists:
		if fresh, err = a.newIdentity(ctx, c, side); err != nil {
			return fmt.Errorf("making the identity of %s: %w", c.User, err)
		}
	case !signed:
		key := cmp.Or(fresh, c.recoveryKey)
		if key == "" {
			a.signed = false
			tell(tellUnsigned)
			return nil
		}
		if err := a.mach.VerifyWithRecoveryKey(ctx, key); err != nil {
			return fmt.Errorf("the recovery key doesn't sign this device: %w", err)
		}
	}
	if fresh == "" {
		return nil
	}
	tell(fmt.Sprintf(tellRecoveryKey, fresh, deviceFile(c)))
	return side.KeepRecoveryKey(ctx, "")
}

// newIdentity makes the keys that sign Becket's devices. The recovery key is kept before anything depends on it.
func (a *account) newIdentity(ctx context.Context, c Config, side *device.DB) (recoveryKey string, err error) {
	key, err := a.mach.SSSS.GenerateAndUploadKey(ctx, "")
	if err != nil {
		return "", err
	}
	if err := side.KeepRecoveryKey(ctx, key.RecoveryKey()); err != nil {
		return "", err
	}
	keys, err := a.mach.GenerateCrossSigningKeys()
	if err != nil {
		return "", err
	}
	if err := a.mach.UploadCrossSigningKeysToSSSS(ctx, key, keys); err != nil {
		return "", err
	}
	if err := a.mach.SSSS.SetDefaultKeyID(ctx, key.ID); err != nil {
		return "", err
	}
	err = a.mach.PublishCrossSigningKeys(ctx, keys, func(asked *mautrix.RespUserInteractive) any {
		return &mautrix.ReqUIAuthLogin{
			BaseAuthData: mautrix.BaseAuthData{Type: mautrix.AuthTypePassword, Session: asked.Session},
			User:         c.User, Password: c.password,
		}
	})
	if err != nil {
		return "", err
	}
	if err := a.mach.SignOwnDevice(ctx, a.mach.OwnIdentity()); err != nil {
		return "", err
	}
	return key.RecoveryKey(), a.mach.SignOwnMasterKey(ctx)
}
