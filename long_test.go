package main

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
)

// long writes a file of two lines, too long for a script to hold: a message of exactly so many bytes without its
// line's end, and a short one. It returns an exit status.
func long(args []string, errs io.Writer) int {
	if len(args) != 2 {
		fmt.Fprintln(errs, "long takes a number of bytes and a file")
		return exitUsage
	}
	size, err := strconv.Atoi(args[0])
	if err == nil {
		head := fmt.Sprintf(`{"id":"$long%d","text":"`, size)
		line := head + strings.Repeat("a", size-len(head)-2) + `"}`
		err = os.WriteFile(args[1], []byte(line+"\n"+`{"id":"$after","text":"due"}`+"\n"), 0o600)
	}
	if err != nil {
		fmt.Fprintln(errs, "long:", err)
		return exitFailed
	}
	return exitDone
}
