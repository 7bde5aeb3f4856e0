package main

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
)

// vacant is an error where something has a name already: what may have been handed to somebody isn't written over.
func vacant(name string) error {
	if _, err := os.Lstat(name); err == nil {
		return alreadyThere(name)
	}
	return nil
}

func alreadyThere(name string) error {
	return fmt.Errorf("%s is already there. Name another file; nothing was written", name)
}

// writeWhole puts a file in its place once it is written whole; until then what was there stays.
func writeWhole(name string, write func(*bufio.Writer) error) (err error) {
	half, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+"-*")
	if err != nil {
		return fmt.Errorf("%s can't be written: %w", name, err)
	}
	defer func() {
		if err != nil {
			_ = half.Close() // what went wrong is said already
			_ = os.Remove(half.Name())
		}
	}()
	out := bufio.NewWriter(half)
	if err := write(out); err != nil {
		return err
	}
	for _, step := range []func() error{out.Flush, half.Sync, half.Close, func() error { return os.Rename(half.Name(), name) }} {
		if err := step(); err != nil {
			return fmt.Errorf("%s can't be written: %w", name, err)
		}
	}
	return nil
}
