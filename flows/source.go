package flows

// The types of this file are the flow language as people write it: decoder reads text into them, Schema
// describes them to editors. A field without omitempty must be given. The description says what belongs
// there, in words that a message can use as they are.

type sourceFlow struct {
	here
	Flow      word                  `yaml:"flow" jsonschema_description:"the flow's name in lower-case letters, digits and hyphens"`
	Revision  word                  `yaml:"revision" jsonschema_description:"the edition, a whole number from 1"`
	Title     word                  `yaml:"title" jsonschema_description:"what people call this family"`
	BasedOn   word                  `yaml:"based_on,omitempty" jsonschema_description:"the name of Becket's own flow that this one is never milder than"`
	Basis     word                  `yaml:"basis,omitempty" jsonschema_description:"where the rules come from, unless one says otherwise"`
	Sheet     entries[sourceFigure] `yaml:"sheet,omitempty" jsonschema_description:"the figures that the maker's sheet gives, each with its unit"`
	Facts     entries[sourceFact]   `yaml:"facts,omitempty" jsonschema_description:"what is so or isn't, neither good nor bad"`
	BeforeUse []word                `yaml:"before_use,omitempty" jsonschema_description:"the checks, six at most, that anybody makes before each use"`
	Sections  []sourceSection       `yaml:"sections" jsonschema_description:"the sections in the order of asking"`
	Together  []sourceTogether      `yaml:"together,omitempty" jsonschema_description:"rules over several findings"`
}

// sourceBlock is a piece that families share: a whole section, or steps to be taken into one.
type sourceBlock struct {
	here
	Block    word                  `yaml:"block" jsonschema_description:"the block's name, as its file is called"`
	Basis    word                  `yaml:"basis,omitempty" jsonschema_description:"where the rules come from, unless one says otherwise"`
	Sheet    entries[sourceFigure] `yaml:"sheet,omitempty" jsonschema_description:"the figures that the maker's sheet gives, each with its unit"`
	Facts    entries[sourceFact]   `yaml:"facts,omitempty" jsonschema_description:"what is so or isn't, neither good nor bad"`
	Section  *sourceBody           `yaml:"section,omitempty" jsonschema_description:"the whole section that this block is"`
	Asks     []sourceValue         `yaml:"asks,omitempty" jsonschema_description:"what is read or counted off the item"`
	Checks   []sourceCheck         `yaml:"checks,omitempty" jsonschema_description:"what is looked at"`
	Readings []sourceReading       `yaml:"readings,omitempty" jsonschema_description:"what is measured"`
	Together []sourceTogether      `yaml:"together,omitempty" jsonschema_description:"rules over several findings"`
}

type sourceSection struct {
	sourceUse
	Section    word `yaml:"section" jsonschema_description:"the section's name, without spaces or dots"`
	sourceBody `yaml:",inline"`
}

type sourceBody struct {
	here
	Title    word            `yaml:"title,omitempty" jsonschema_description:"the heading that people see"`
	Basis    word            `yaml:"basis,omitempty" jsonschema_description:"where the rules come from, unless one says otherwise"`
	OnRope   yesNo           `yaml:"on_rope,omitempty" jsonschema_description:"yes when a rope is loaded: left out once the item is held"`
	Asks     []sourceValue   `yaml:"asks,omitempty" jsonschema_description:"what is read or counted off the item"`
	Checks   []sourceCheck   `yaml:"checks,omitempty" jsonschema_description:"what is looked at"`
	Readings []sourceReading `yaml:"readings,omitempty" jsonschema_description:"what is measured"`
}

// sourceUse takes a block's steps where a step, or a section, would stand.
type sourceUse struct {
	Block word `yaml:"block,omitempty" only:"as part" jsonschema_description:"the block to take here"`
	As    word `yaml:"as,omitempty" jsonschema_description:"a prefix for the names of the block's steps"`
	Part  word `yaml:"part,omitempty" jsonschema_description:"the place where it is, as a short heading"`
}

type sourceCheck struct {
	here
	sourceUse
	Check    word                   `yaml:"check" jsonschema_description:"the check's name: letters, digits, underscores, hyphens"`
	Ask      word                   `yaml:"ask" jsonschema_description:"what the person is asked to look at"`
	Critical yesNo                  `yaml:"critical,omitempty" jsonschema_description:"yes for the check that kills: asked alone"`
	Required yesNo                  `yaml:"required,omitempty" jsonschema_description:"no when an inspection is complete without it"`
	Clear    word                   `yaml:"clear,omitempty" jsonschema_description:"the clear state in words"`
	When     words                  `yaml:"when,omitempty" jsonschema_description:"what opens it: found CHECK.FINDING, or FACT is CHOICE"`
	Basis    word                   `yaml:"basis,omitempty" jsonschema_description:"where its rules come from, unless one says otherwise"`
	Find     entries[sourceFinding] `yaml:"find" jsonschema_description:"what may be found there"`
	origin   Origin
}

type sourceFinding struct {
	here
	See word `yaml:"see" jsonschema_description:"what is seen, felt or heard, in a few words"`
	sourceVerdict
	Basis word `yaml:"basis,omitempty" jsonschema_description:"where this comes from"`
}

// sourceVerdict is a verdict with its reason. At most one is given.
type sourceVerdict struct {
	Watch      word `yaml:"watch,omitempty" jsonschema_description:"why it is to be watched"`
	Quarantine word `yaml:"quarantine,omitempty" jsonschema_description:"why it is out of use until somebody decides"`
	Retire     word `yaml:"retire,omitempty" jsonschema_description:"why it is the end"`
}

type sourceReading struct {
	here
	sourceUse
	Reading   word          `yaml:"reading" jsonschema_description:"the reading's name: letters, digits, underscores, hyphens"`
	Ask       word          `yaml:"ask" jsonschema_description:"what the person is asked to measure, and where"`
	Unit      word          `yaml:"unit" jsonschema_description:"the unit, such as mm or count"`
	Harm      word          `yaml:"harm" jsonschema_description:"up when a larger value is worse, down when a smaller one is"`
	Repeat    word          `yaml:"repeat,omitempty" jsonschema_description:"how many readings make one, 1 to 9; 3 when not given"`
	Doubt     word          `yaml:"doubt,omitempty" jsonschema_description:"the least doubt of such a reading, in its unit"`
	New       word          `yaml:"new,omitempty" jsonschema_description:"what it was when new: sheet FIGURE or a number"`
	Plausible word          `yaml:"plausible,omitempty" jsonschema_description:"what a person can have meant: LOW to HIGH"`
	Published yesNo         `yaml:"published,omitempty" jsonschema_description:"yes when its published limits count where the sheet gives none"`
	Required  yesNo         `yaml:"required,omitempty" jsonschema_description:"no when an inspection is complete without it"`
	When      words         `yaml:"when,omitempty" jsonschema_description:"what opens it: found CHECK.FINDING, or FACT is CHOICE"`
	Basis     word          `yaml:"basis,omitempty" jsonschema_description:"where its rules come from, unless one says otherwise"`
	Limits    []sourceLimit `yaml:"limits,omitempty" jsonschema_description:"the points at which it has a verdict"`
	origin    Origin
}

type sourceLimit struct {
	here
	At word `yaml:"at" jsonschema_description:"the point: sheet FIGURE, 75 % of sheet FIGURE, or a number"`
	sourceVerdict
	Basis word `yaml:"basis,omitempty" jsonschema_description:"where this comes from"`
}

type sourceValue struct {
	here
	sourceUse
	Value      word  `yaml:"value" jsonschema_description:"the value's name: letters, digits, underscores, hyphens"`
	Ask        word  `yaml:"ask" jsonschema_description:"what the person is asked to read or count off the item"`
	Match      word  `yaml:"match,omitempty" jsonschema_description:"what it must agree with: serial, made (the year of make in the register), or sheet FIGURE"`
	Kind       word  `yaml:"kind,omitempty" jsonschema_description:"note or photo, for what agrees with nothing"`
	Unit       word  `yaml:"unit,omitempty" jsonschema_description:"the unit, when the answer is a number"`
	Plausible  word  `yaml:"plausible,omitempty" jsonschema_description:"what a person can have meant: LOW to HIGH"`
	Cut        yesNo `yaml:"cut,omitempty" jsonschema_description:"yes for a length in m that may be cut into shorter ones, each an item of its own"`
	Control    yesNo `yaml:"control,omitempty" jsonschema_description:"yes when it is asked only now and then, by chance"`
	Quarantine word  `yaml:"quarantine,omitempty" jsonschema_description:"what it means when it does not agree"`
	Basis      word  `yaml:"basis,omitempty" jsonschema_description:"where this comes from"`
	When       words `yaml:"when,omitempty" jsonschema_description:"what opens it: found CHECK.FINDING, or FACT is CHOICE"`
}

type sourceFigure struct {
	here
	Unit word `yaml:"unit" short:"yes" jsonschema_description:"the unit, such as mm or count"`
	Ask  word `yaml:"ask,omitempty" jsonschema_description:"how a person is asked for it"`
}

type sourceFact struct {
	here
	Ask     word          `yaml:"ask" jsonschema_description:"the question that settles it"`
	Choices entries[word] `yaml:"choices" jsonschema_description:"the answers, each with its label"`
}

type sourceTogether struct {
	here
	Rule    word   `yaml:"rule" jsonschema_description:"the rule's name: letters, digits, underscores, hyphens"`
	All     []word `yaml:"all,omitempty" jsonschema_description:"what must all be there"`
	Any     []word `yaml:"any,omitempty" jsonschema_description:"what one of must be there"`
	AtLeast word   `yaml:"at_least,omitempty" jsonschema_description:"how many of the listed must be there"`
	Of      []word `yaml:"of,omitempty" jsonschema_description:"what at_least counts"`
	sourceVerdict
	Basis word `yaml:"basis,omitempty" jsonschema_description:"where this comes from"`
}
