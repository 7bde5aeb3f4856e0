package bot

import (
	"regexp"
	"strings"
	"testing"

	"becket/flows"
)

// Whatever is shown as an example of a reading, in its question or in a complaint about an answer, is taken for that very
// reading: an example that is refused when somebody types it teaches that examples aren't to be trusted.
func TestExamplesOfReadingsAreTaken(t *testing.T) {
	t.Parallel()
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	example := regexp.MustCompile(`like:? ([0-9][0-9., ]*)`)
	tried := 0
	for _, f := range library {
		start := flows.Start{}
		for _, step := range f.Steps() {
			if step.Reading == nil {
				continue
			}
			q, ok := flows.Alone(f, f.Start(start), []string{step.Name})
			if !ok {
				t.Fatalf("%s %s can't be asked", f.ID, step.Name)
			}
			tried++
			shown := []string{wording(q, 1, 9), format(tooFew, "1", "3"), outOfRange}
			for _, bad := range []string{"zero", "1/4", "4 in", "7,7,7", "0.5.5", "1.5", "mm", "clear", "", "9.9 kg"} {
				if _, err := read(q, bad, 0); err != nil {
					shown = append(shown, err.Error())
				}
			}
			for _, text := range shown {
				for _, like := range example.FindAllStringSubmatch(text, -1) {
					typed := strings.TrimRight(like[1], " .,")
					answers, err := read(q, typed, 0)
					if err != nil {
						t.Errorf("%s, %s: %q is shown and refused: %v", f.ID, step.Name, typed, err)
						continue
					}
					for _, n := range answers[0].Readings {
						if r := step.Reading; r.Low.Cmp(r.High) != 0 && (n.Less(r.Low) || r.High.Less(n)) {
							t.Errorf("%s, %s: %s is shown, and %s to %s can be: %s", f.ID, step.Name, n, r.Low, r.High, text)
						}
					}
				}
			}
		}
	}
	if tried == 0 {
		t.Error("no reading was tried")
	}
}

// Several numbers where one is counted aren't "no number".
func TestOneNumberByItself(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	c.until("@ben", thread, "look.rivets", nil)
	c.wantAsked(thread, "look.rivets")
	c.wantRefused(c.say("@ben", thread, "5 6"), "isn't one number by itself")
}
