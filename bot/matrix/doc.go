//go:build goolm

// Package matrix holds the conversation in Matrix rooms, encrypted or not. It knows nothing of inspections.
//
// It is built with the tag goolm: encryption in Go alone, without a library in C.
package matrix
