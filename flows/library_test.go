package flows

import (
	"testing"
)

func TestLibraryLoads(t *testing.T) {
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	if len(list) == 0 {
		t.Fatal("there is no flow in the library")
	}
}
