package bot

// What is said of sets and sealed bags.
const (
	bundleEmpty = "Nothing is in %s now."
	partOfSet   = "It is part of the set %s."
	sealedInBag = "It is sealed in the bag %s."
)
