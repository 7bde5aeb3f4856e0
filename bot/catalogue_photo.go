package bot

// What is asked about a picture that may be another's, or an old one.
const (
	photoSentBefore  = "was sent before, for %s on %s"
	photoTakenBefore = "was taken on %s, and this inspection began on %s"
	photoDoubtAsk    = "This picture %s. Is it of %s, as it is today? \"yes\", \"no\", or send another."
	photoVouched     = "Noted: it is of %s, on your word."
	photoNotOf       = "Noted: it isn't of %s, so it doesn't count."
	photoAnother     = "The new picture is kept, and the other doesn't count."
	recordPhotoIs    = "Photo: it %s; %s says it is of %s."
	recordPhotoNot   = "Photo: it %s; it isn't of %s, and doesn't count."
	recordPhotoOpen  = "Photo: it %s; asked about, and no answer."
)
