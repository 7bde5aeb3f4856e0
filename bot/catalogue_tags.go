package bot

// What is said of tags, and of codes in pictures.
const (
	tagsName     = "tags.pdf"
	tagsHow      = "Say for which, like: tags K-01 to K-40; tags D-07, K-12; tags connectors; tags store."
	tagsNone     = "There is nothing like that in the register, so no tag was made."
	tagsHere     = "Labels, 70 by 37 mm, 24 on a sheet: %d. On each stand the mark and a code that says the mark, and nothing else. Where a tag may go is in the maker's instructions."
	tagsLeftOut  = "Without a label, retired or gone: %s."
	tagsByHand   = "There are no letters here for the mark of %s. Beside its code is room to write it by hand."
	tagsAllEnded = "No label was made: retired or gone: %s."
	codeMark     = "The tag in the picture names %s Inspect it now? yes or no."
	codeSerial   = "The code in the picture names the serial number %s. %s Inspect it now? yes or no."
	codeNo       = "Nothing was begun."
	codeUnknown  = "The code in the picture reads \"%s\". That is no mark and no serial number of the register. Type the mark, like: inspect D-07."
	codeSeveral  = "The code in the picture reads \"%s\", which could be %s. Type the right one, like: inspect %s."
)
