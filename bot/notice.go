package bot

import (
	"regexp"
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"

	"becket/flows"
	"becket/flows/due"
	"becket/flows/serial"
	"becket/store"
)

// makersNotice is a notice as it is read: whose, of which model, and by what it says its items are known.
type makersNotice struct {
	maker, model string
	family       string // of that model here; empty: not known
	serials      []serial.Range
	batches      []string
	from, to     due.Date // made from the first to the last day; zero: that end is open
	dated        bool
	said         string // what stands after the colon
}

// readNotice takes a typed notice apart: "Skerry Works Dunlin, serials 22-1100 to 22-1199, made March 2022: pin may be
// soft". An error says what can't be read, so that no part of a notice is left out unsaid.
func readNotice(text string) (n makersNotice, name string, err error) {
	head, said, _ := strings.Cut(text, ":")
	n.said = strings.TrimSpace(said)
	parts := strings.Split(head, ",")
	name = strings.TrimSpace(parts[0])
	kind := ""
	for _, part := range parts[1:] {
		part = strings.Trim(part, " .")
		if word := regexp.MustCompile(`(?i)^(serials?|numbers?|batch(?:es)?|lots?|made|manufactured)\b`).FindString(part); word != "" {
			kind, part = strings.ToLower(word[:1]), strings.TrimSpace(part[len(word):])
			part = strings.TrimSpace(regexp.MustCompile(`(?i)^(numbers?|nos?\.?)\b`).ReplaceAllString(part, ""))
		}
		switch {
		case part == "" || sameWord(part, "all"):
		case kind == "s" || kind == "n":
			err = n.readSerials(part)
		case kind == "b" || kind == "l":
			n.batches = append(n.batches, regexp.MustCompile(`(?i)\s+(?:and|or)\s+|\s+`).Split(part, -1)...)
		case kind == "m":
			err = n.readMade(part)
		default:
			err = complaint(format(noticePart, clip(part, 40)))
		}
		if err != nil {
			return n, name, err
		}
	}
	return n, name, nil
}

// lacksCommas tells whether a notice's name goes on with what should stand after a comma: all of it would be the model, and
// none of ours has that. What was kept before is read all the same.
func lacksCommas(name string) bool {
	return regexp.MustCompile(`(?i)\s(serials?|batch(?:es)?|lots?|made|manufactured)\s`).MatchString(name)
}

// readSerials reads "22-1100 to 22-1199 and 22-1300", "from 22-1100", "up to 22-1199", "22-1100 and above".
func (n *makersNotice) readSerials(text string) error {
	text = regexp.MustCompile(`(?i)\s+(?:and|or)\s+(above|later|higher|on|up|below|earlier|lower)\b`).ReplaceAllString(text, " &$1")
	for _, part := range regexp.MustCompile(`(?i)\s+(?:and|or|plus)\s+`).Split(text, -1) {
		part = strings.TrimSpace(part)
		var r serial.Range
		switch {
		case regexp.MustCompile(`(?i)^(up to|to|below|before)\s+\S`).MatchString(part):
			r.To = regexp.MustCompile(`(?i)^(up to|to|below|before)\s+`).ReplaceAllString(part, "")
		case regexp.MustCompile(`(?i)\s&(above|later|higher|on|up)$`).MatchString(part), regexp.MustCompile(`(?i)\s(upwards|onwards?)$`).MatchString(part):
			r.From = regexp.MustCompile(`(?i)^from\s+|\s\S+$`).ReplaceAllString(part, "")
		case regexp.MustCompile(`(?i)\s&(below|earlier|lower)$`).MatchString(part):
			r.To = regexp.MustCompile(`\s\S+$`).ReplaceAllString(part, "")
		default:
			part = regexp.MustCompile(`(?i)^from\s+`).ReplaceAllStringFunc(part, func(string) string { r.From = "open"; return "" })
			ends := regexp.MustCompile(`(?i)\s+(?:to|through|until|–|-)\s+|\s*\.\.\s*|\s*–\s*`).Split(part, 2)
			open := r.From != ""
			r.From = strings.TrimSpace(ends[0])
			switch {
			case len(ends) == 2:
				r.To = strings.TrimSpace(ends[1])
			case !open:
				r.To = r.From
			}
		}
		if err := r.Check(); err != nil {
			return err
		}
		n.serials = append(n.serials, r)
	}
	return nil
}

// readMade reads "March 2022", "from March 2022 to June 2022", "before 2023" and "since 2021". A month or a year counts
// whole.
func (n *makersNotice) readMade(text string) error {
	n.dated = true
	text = regexp.MustCompile(`(?i)^(in|on|between|from)\s+`).ReplaceAllStringFunc(text, func(w string) string {
		if sameWord(w, "from") && !regexp.MustCompile(`(?i)\s(to|until|till)\s`).MatchString(text) {
			return "since "
		}
		return ""
	})
	if rest, is := afterWords(text, "since"); is {
		d, err := due.ParseSpoken(rest)
		n.from = d.First()
		return err
	}
	if rest, is := afterWords(text, "before"); is {
		d, err := due.ParseSpoken(rest)
		n.to = d.First().AddDays(-1)
		return err
	}
	for _, upTo := range []string{"up to", "until"} {
		if rest, is := afterWords(text, upTo); is {
			d, err := due.ParseSpoken(rest)
			n.to = d.Last()
			return err
		}
	}
	ends := regexp.MustCompile(`(?i)\s+(?:to|until|till|and|–)\s+`).Split(text, 2)
	first, err := due.ParseSpoken(ends[0])
	if err != nil {
		return err
	}
	last := first
	if len(ends) == 2 {
		if last, err = due.ParseSpoken(ends[1]); err != nil {
			return err
		}
	}
	n.from, n.to = first.First(), last.Last()
	return nil
}

// models are the makers and models of a register, each with its family where one is known.
func (t *turn) models() (map[[2]string]string, []store.Item, error) {
	known := map[[2]string]string{}
	sheets, err := t.tx.Sheets(t.m.Room)
	if err != nil {
		return nil, nil, err
	}
	for _, s := range sheets {
		known[[2]string{s.Maker, s.Model}] = s.Flow
	}
	items, err := t.tx.Items(t.m.Room)
	for _, i := range items {
		if i.Maker != "" {
			known[[2]string{i.Maker, i.Model}] = i.Flow
		}
	}
	return known, items, err
}

// named finds the maker and model that a notice begins with. Near are names so like it that it may be a slip of the
// finger: then nothing is taken, since a nil result from a slip would hide what is affected.
func (n *makersNotice) named(name string, known map[[2]string]string) (near []string) {
	n.maker = name
	for pair, family := range known {
		whole := strings.TrimSpace(pair[0] + " " + pair[1])
		switch {
		case sameWord(whole, name):
			n.maker, n.model, n.family = pair[0], pair[1], family
			return nil
		case sameWord(pair[0], name):
			n.maker, n.model, near = pair[0], "", nil
			return nil
		case levenshtein.ComputeDistance(strings.ToLower(whole), strings.ToLower(beginning(name, whole))) <= 1+len(whole)/8:
			near = append(near, whole)
		}
		if model, is := cutMaker(name, pair[0]); is && n.model == "" {
			n.maker, n.model = pair[0], model
		}
	}
	slices.Sort(near)
	return slices.Compact(near)
}

// beginning is as many words of a name as another has: "Skerry Works Dunlin 22-1100" may have left out its comma.
func beginning(name, other string) string {
	words := strings.Fields(name)
	return strings.Join(words[:min(len(words), len(strings.Fields(other)))], " ")
}

// cutMaker takes a maker's name off the start of a name.
func cutMaker(name, maker string) (model string, is bool) {
	if len(name) <= len(maker)+1 || !strings.EqualFold(name[:len(maker)], maker) || name[len(maker)] != ' ' {
		return "", false
	}
	return strings.TrimSpace(name[len(maker):]), true
}

// speaksOf tells whether a notice speaks of an item. Doubt says why it can't be ruled out: what isn't recorded or can't
// be read counts as affected.
func (n makersNotice) speaksOf(item store.Item) (matches bool, doubt string) {
	switch {
	case item.Maker == "" && item.Model == "":
		if n.family == "" || n.family != item.Flow {
			return false, ""
		}
		doubt = doubtMaker
	case item.Maker != "" && !sameWord(item.Maker, n.maker):
		return false, ""
	case n.model != "" && item.Model == "":
		doubt = doubtModel
	case n.model != "" && !sameWord(item.Model, n.model):
		return false, ""
	}
	fits, why := n.covers(item)
	switch {
	case fits == serial.Outside:
		return false, ""
	case fits == serial.Unknown:
		return true, why
	}
	return true, doubt
}

// covers weighs serial, batch and date of make. A readable serial outside the ranges rules an item out; without serials
// in the notice only everything else together does.
func (n makersNotice) covers(item store.Item) (serial.Fits, string) {
	batch, made := n.batchFits(item), n.madeFits(item)
	if len(n.serials) > 0 {
		switch serial.CoveredBy(item.Serial, n.serials) {
		case serial.Outside:
			return serial.Outside, ""
		case serial.Unknown:
			return serial.Unknown, format(doubtSerial, orUnknown(item.Serial))
		}
		switch {
		case made == serial.Outside && n.dated:
			return serial.Unknown, format(doubtDate, item.Made.Words())
		case batch == serial.Outside && len(n.batches) > 0:
			return serial.Unknown, format(doubtBatch, item.Batch)
		}
		return serial.Inside, ""
	}
	var said []serial.Fits
	if len(n.batches) > 0 {
		said = append(said, batch)
	}
	if n.dated {
		said = append(said, made)
	}
	switch {
	case !slices.ContainsFunc(said, func(f serial.Fits) bool { return f != serial.Inside }):
		return serial.Inside, ""
	case !slices.ContainsFunc(said, func(f serial.Fits) bool { return f != serial.Outside }):
		return serial.Outside, ""
	}
	return serial.Unknown, format(doubtOther, orUnknown(item.Batch), item.Made.Words())
}

func (n makersNotice) batchFits(item store.Item) serial.Fits {
	if item.Batch == "" {
		return serial.Unknown
	}
	if slices.ContainsFunc(n.batches, func(b string) bool { return flows.SameMark(b, item.Batch) }) {
		return serial.Inside
	}
	return serial.Outside
}

func (n makersNotice) madeFits(item store.Item) serial.Fits {
	switch {
	case item.Made.IsZero():
		return serial.Unknown
	case !n.from.IsZero() && item.Made.Last().Before(n.from), !n.to.IsZero() && item.Made.First().After(n.to):
		return serial.Outside
	}
	return serial.Inside
}
