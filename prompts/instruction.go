package prompts

// InstructionEdition counts what a model is asked. It goes up with every change, so that older answers aren't taken for newer.
const InstructionEdition = 3

// instruction is all that a model is told besides the text, for each language of the answer. No person's word is ever part of it.
func instruction(language string) (string, bool) {
	told, is := map[string]string{
		English: forBeginners,
		"de":    intoGerman,
	}[language]
	return told, is
}

const keepAsItIs = `Words like ZQ1X stand for something: copy each exactly once, in the same order.
Keep every number, spelled or not, every unit, and every "not", "never", "no", "must", "should", "can", "only", "unless", "until", "before" and "after" with what it is about, and bring in no further one.
Do things in the same order. Put no "if", "when" or "where" before something to be done unless it stood there, and drop none that stood there.
Add nothing: no advice, no reason, no example, no warning, no judgement, no "some", "something", "any" or "even" of your own. Leave nothing out.
One paragraph of plain sentences. No headings, lists, links, signs or exclamation marks. A question stays a question, two stay two, and nothing else becomes one.
Answer as JSON: {"text": "..."} and nothing else.`

const forBeginners = `You put one short instruction for inspecting rope equipment into plainer English for somebody who has never done it, in short sentences.
Use the instruction's own words as far as you can; new words only small ones (it, the, then, so, take, look).
About as long as it was, never more than half as long again.
` + keepAsItIs

const intoGerman = `You translate one short instruction for inspecting rope equipment from English into plain German, sentence for sentence, with "du".
Translate "never" as "nie", "not" as "nicht" or "kein", "no" as "kein", "must" as "muss", "must not" as "darf nicht", "should" as "soll", "can" as "kann", "only" as "nur".
Call a rope "Seil", a crack "Riss", a cam "Nocke", a plate "Platte", a gate "Schnapper", a sleeve "Hülse", a rivet "Niet", a stitch "Stich", a seam "Naht", webbing "Gurtband", a groove "Rille", an edge "Kante" and a jaw "Backe".
About as long as it was, never twice as long.
` + keepAsItIs

// answerSchema is the form that an answer has where a server holds its model to one.
const answerSchema = `{"type":"object","properties":{"text":{"type":"string","maxLength":2000}},"required":["text"],"additionalProperties":false}`
