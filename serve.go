//go:build !goolm

package main

import "errors"

// serveCommand is `becket serve` in a program that was built without encryption.
type serveCommand struct {
	Config  string `arg:"" optional:"" default:"becket.yaml" help:"The configuration file."`
	Example bool   `help:"Write a configuration file with comments, and do nothing else."`
	Flows   string `placeholder:"DIR" help:"A folder with the team's own scripts, beside Becket's."`
}

func (c *serveCommand) Run() error {
	return errors.New("this build has no encryption, so it can't serve Matrix rooms; build it with \"CGO_ENABLED=0 go build -tags goolm .\"")
}
