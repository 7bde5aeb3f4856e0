package prompts

// InstructionEdition counts what a model is asked. It goes up with every change, so that older answers aren't taken for newer.
const InstructionEdition = 1

// instruction is all that a model is told besides the text, for each language of the answer. No person's word is ever part of it.
func instruction(language string) (string, bool) {
	told, is := map[string]string{
		English: forBeginners,
		"de":    intoGerman,
	}[language]
	return told, is
}

const keepAsItIs = `Words like ZQ1X stand for something: copy each exactly once, in the same order.
Keep every number, spelled or not, every unit, and every "not", "never", "no", "must", "should", "can", "only", "unless", "before" and "after" with what it is about.
Add nothing: no advice, no reason, no example, no warning, no judgement. Leave nothing out.
One paragraph of plain sentences. No headings, lists, links, signs or exclamation marks. A question stays a question.
Answer as JSON: {"text": "..."} and nothing else.`

const forBeginners = `You put one short instruction for inspecting rope equipment into plainer English for somebody who has never done it.
Use the instruction's own words as far as you can, and short sentences.
` + keepAsItIs

const intoGerman = `You translate one short instruction for inspecting rope equipment from English into plain German, sentence for sentence, with "du".
Translate "never" as "nie", "not" as "nicht", "must" as "muss", "should" as "soll", "can" as "kann", "only" as "nur".
` + keepAsItIs

// answerSchema is the form that an answer has where a server holds its model to one.
const answerSchema = `{"type":"object","properties":{"text":{"type":"string","maxLength":2000}},"required":["text"],"additionalProperties":false}`
