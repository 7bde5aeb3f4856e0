package bot

import "becket/store"

// partOfWords says what an item is in.
func partOfWords(in store.Bundle) string {
	if in.Kind == store.Bag {
		return format(sealedInBag, in.Mark)
	}
	return format(partOfSet, in.Mark)
}
