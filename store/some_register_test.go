package store

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
	"time"

	"becket/flows"
	"becket/flows/due"
)

// someText is what people, and machines, may have typed.
func someText(chance *rand.Rand) string {
	all := []string{"creaks", "Fußschlinge 11 mm", "опора", "緊急", "مرساة", "e\u0301 é", "\u2028\u0000\\\"</script>", "🧗🏽‍♀️", "", " two\nlines\t", "=1+1", "\ufeff"}
	return all[chance.IntN(len(all))]
}

// someRegister fills a database with a team of its own: kit, people, holds, photos, whole inspections with their corrections,
// rounds, opinions, a few entries of each other kind there is, and words that are deleted again.
func someRegister(t *testing.T, db *DB, seed uint64) {
	t.Helper()
	s := &someTeam{
		Rand: rand.New(rand.NewPCG(seed, 1)), seed: seed, said: map[string][]int64{},
		room: fmt.Sprintf("!yard %d ", seed), people: []string{"@ana", "@" + fmt.Sprint(seed)},
	}
	s.room += someText(s.Rand)
	do(t, db, func(tx *Tx) error {
		s.tx = tx
		return s.grow()
	})
	notes := s.said[Noted{}.Kind()]
	for _, seq := range notes[:len(notes)/2] {
		do(t, db, func(tx *Tx) error {
			e, _, err := tx.Entry(seq)
			if err != nil {
				return err
			}
			ev, err := e.Event()
			if err != nil {
				return err
			}
			left := *ev.(*Noted)
			left.Text = Blank
			return tx.Blank(e, e.By, "$delete", left)
		})
	}
}

// someTeam is a team whose record is being made up. An entry speaks of what is there: of its marks, people, inspections and
// rounds, and of entries of the kind that it follows.
type someTeam struct {
	*rand.Rand
	tx                  *Tx
	seed                uint64
	room, flow          string
	made                int // marks and names, which are nobody else's
	marks, people       []string
	inspections, rounds []string
	photos              []string // hashes
	said                map[string][]int64
}

// begun are the events that bring something new into being, under a name that nothing has yet.
func (s *someTeam) begun() []Event {
	return []Event{
		ItemTaken{Item{Flow: "pulley", Maker: someText(s.Rand), Item: flows.Item{Mark: s.newMark(), Serial: someText(s.Rand)}}},
		filled(s, ItemTaken{Item{Item: flows.Item{Mark: s.newMark()}}}),
		filled(s, UnmarkedHeld{Mark: s.newMark()}),
		filled(s, RoundBegun{Round: s.newName(&s.rounds)}),
		filled(s, OpinionAsked{Opinion{ID: fmt.Sprintf("opinion %d-%d", s.seed, s.made)}}),
		RoomMoved{To: fmt.Sprintf("!yard %d-%d", s.seed, s.made)},
	}
}

func (s *someTeam) newMark() string {
	s.made++
	s.marks = append(s.marks, fmt.Sprintf("P-%d-%d", s.seed, s.made))
	return s.marks[len(s.marks)-1]
}

func (s *someTeam) newName(all *[]string) string {
	s.made++
	*all = append(*all, fmt.Sprintf("%d-%d", s.seed, s.made))
	return (*all)[len(*all)-1]
}

func (s *someTeam) grow() error {
	script := []byte("title: " + someText(s.Rand))
	sum := sha256.Sum256(script)
	s.flow = hex.EncodeToString(sum[:])
	if err := s.tx.KeepFlow(s.flow, script); err != nil {
		return err
	}
	if err := s.say(TeamNamed{Name: someText(s.Rand), Origin: "test"}); err != nil {
		return err
	}
	for _, ev := range s.begun()[:4] {
		if err := s.say(ev); err != nil {
			return err
		}
	}
	for range 2 + s.IntN(3) {
		if err := s.keepPhoto(); err != nil {
			return err
		}
	}
	for range 10 + s.IntN(20) {
		if err := s.step(); err != nil {
			return err
		}
	}
	return nil
}

// step is an inspection, something new, or a word about what is there.
func (s *someTeam) step() error {
	switch s.IntN(5) {
	case 0:
		return s.inspect()
	case 1:
		begun := s.begun()
		return s.say(begun[s.IntN(len(begun))])
	case 2:
		return s.say(HoldPlaced{Mark: s.one(s.marks), Verdict: flows.Quarantine, Why: someText(s.Rand)})
	}
	rest := s.rest()
	for range 4 {
		if err := s.say(filled(s, rest[s.IntN(len(rest))])); err != nil {
			return err
		}
	}
	return nil
}

// rest are the events of which a random one makes sense wherever it stands, more or less: a hold that isn't this mark's is not
// released, and so on.
func (s *someTeam) rest() []Event {
	return []Event{
		PersonListed{}, PersonRemoved{}, CompetenceClaimed{}, LanguageChosen{}, WordsChosen{}, ParticularsTold{},
		SheetKeyed{}, SheetConfirmed{}, SheetDisputed{}, InstrumentListed{}, InstrumentChecked{}, InstrumentOut{},
		ItemDetailed{}, LifeLimited{}, CorrectionAsked{}, ItemCorrected{}, ItemCorrected{Correction: Correction{What: CorrectMade, To: "2019-03"}}, ItemCorrected{Correction: Correction{What: CorrectSerial}}, Maintained{}, GoodsOnly{}, Cut{}, WornBy{}, Priced{}, CheckedBeforeUse{},
		Issued{}, Returned{}, NotSeen{}, Found{}, WentBack{}, SetMade{}, PartsChanged{}, BagSealed{}, BagOpened{},
		HoldReleased{}, HoldMoved{}, HoldKept{}, StatementSent{}, PaperKept{}, StrikeAsked{}, RetirementStruck{}, Destroyed{}, Replaced{},
		UnmarkedSettled{}, CalledIn{}, IncidentLogged{}, IncidentAdded{}, ConditionsLogged{},
		NoticeTaken{}, NoticeActed{}, HolderAsked{}, HolderAnswered{}, MakerAsked{}, MakerSent{}, MakerAnswered{},
		RoundRope{}, RoundNotSeen{}, RoundTakenOver{}, RoundClosed{}, RepeatsSet{}, Practised{}, DigitsMarked{},
		DigestSet{}, DigestEnded{}, QuietSet{}, HeadPosted{}, PutOff{}, Restored{}, Accounted{}, StoreJudged{}, Foretold{},
		Noted{}, Noted{Text: "n"}, OpinionGiven{},
	}
}

// inspect is a whole inspection: answers, one put right, a reading, a photo that is doubted and vouched for, a finding that
// holds, and how it ended.
func (s *someTeam) inspect() error {
	id, mark := s.newName(&s.inspections), s.one(s.marks)
	photo, err := s.photo(id)
	if err != nil {
		return err
	}
	answer := func(a flows.Answer) Answered {
		return Answered{Inspection: id, Answer: a, Sent: s.time(), Quick: s.IntN(2) == 0}
	}
	readings := []flows.Number{s.number(), s.number()}
	signed := filled(s, Signed{Inspection: id, Mark: mark, Number: fmt.Sprintf("2026-%04d", s.made)})
	ends := []Event{signed, Supervised{signed}, filled(s, LeftOff{Inspection: id}), filled(s, SetDown{Inspection: id})}
	all := []Event{
		filled(s, Started{Inspection: id, Mark: mark, Flow: s.flow}),
		answer(flows.Answer{Step: "identity", Text: someText(s.Rand)}),
		answer(flows.Answer{Step: "cam", Findings: []string{"groove"}}),
		photo,
		filled(s, PhotoDoubted{Inspection: id}), filled(s, PhotoVouched{Inspection: id}),
		answer(flows.Answer{Step: "cam", Reopen: true}),
		Answered{Inspection: id, Answer: flows.Answer{Step: "cam", Clear: true}, Correction: true, Replaces: "$" + someText(s.Rand)},
		answer(flows.Answer{Step: "depth", Readings: readings}),
		Paused{id}, Resumed{id}, filled(s, TakenOver{Inspection: id}),
		Noted{Inspection: id, Text: "n" + someText(s.Rand)},
		HoldPlaced{Mark: mark, Verdict: flows.Retire, Inspection: id, Rule: someText(s.Rand)},
		filled(s, OpinionAsked{Opinion{ID: "opinion " + id, Inspection: id, Mark: mark}}),
		filled(s, OpinionGiven{Opinion{ID: "opinion " + id, Inspection: id, Mark: mark}}),
		ends[s.IntN(len(ends))],
		filled(s, RepeatAsked{First: id, Mark: mark}), filled(s, JudgedAgain{Mark: mark, Inspection: id}),
		filled(s, ReportIssued{Mark: mark, Inspection: id}),
	}
	for n, ev := range all {
		if n > 0 && s.IntN(4) == 0 { // people leave things out
			continue
		}
		if err := s.say(ev); err != nil {
			return err
		}
	}
	return nil
}

// photo keeps a file and says that it is an inspection's, or an item's where that is empty.
func (s *someTeam) photo(inspection string) (Photographed, error) {
	hash, size, err := s.tx.KeepFile(fmt.Append(nil, s.Uint64()))
	s.photos = append(s.photos, hash)
	return Photographed{Inspection: inspection, Mark: s.one(s.marks), Step: "cam", Hash: hash, Size: size, Name: someText(s.Rand), Type: "image/jpeg"}, err
}

func (s *someTeam) keepPhoto() error {
	photo, err := s.photo("")
	if err == nil {
		err = s.say(photo)
	}
	return err
}

func (s *someTeam) say(ev Event) error {
	e, err := s.tx.Append(s.room, s.one(s.people), "$"+someText(s.Rand), ev)
	if err != nil {
		return fmt.Errorf("seed %d, %#v: %w", s.seed, ev, err)
	}
	s.said[e.Kind] = append(s.said[e.Kind], e.Seq)
	if moved, is := ev.(RoomMoved); is {
		s.room = moved.To
	}
	return nil
}

func (s *someTeam) one(of []string) string {
	if len(of) == 0 {
		return ""
	}
	return of[s.IntN(len(of))]
}

func (s *someTeam) number() flows.Number {
	return flows.MustNumber(fmt.Sprintf("%d.%02d", s.IntN(40), s.IntN(100)))
}

// filled gives an event its missing fields, by their names and types.
func filled[E Event](s *someTeam, ev E) E {
	v := reflect.New(reflect.TypeOf(ev)).Elem()
	v.Set(reflect.ValueOf(ev))
	s.fill(v, "", 4)
	return v.Interface().(E)
}

func (s *someTeam) time() time.Time {
	return atNine().Add(time.Duration(s.Int64N(int64(10000 * time.Hour))))
}

func (s *someTeam) fill(v reflect.Value, name string, deep int) {
	if !v.IsZero() && v.Kind() != reflect.Struct || deep == 0 {
		return
	}
	switch v.Interface().(type) {
	case due.Date:
		v.Set(reflect.ValueOf(due.On(s.time())))
		return
	case time.Time:
		v.Set(reflect.ValueOf(s.time()))
		return
	case flows.Number:
		v.Set(reflect.ValueOf(s.number()))
		return
	case flows.Verdict:
		v.Set(reflect.ValueOf(flows.Fit + flows.Verdict(s.IntN(4))))
		return
	case flows.Use:
		v.SetString(string([]flows.Use{flows.People, flows.Goods}[s.IntN(2)]))
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for n := range v.NumField() {
			if v.Type().Field(n).IsExported() {
				s.fill(v.Field(n), v.Type().Field(n).Name, deep-1)
			}
		}
	case reflect.Pointer:
		if s.IntN(2) == 0 {
			v.Set(reflect.New(v.Type().Elem()))
			s.fill(v.Elem(), name, deep-1)
		}
	case reflect.Slice:
		for range s.IntN(3) {
			one := reflect.New(v.Type().Elem()).Elem()
			s.fill(one, name, deep-1)
			v.Set(reflect.Append(v, one))
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		for range s.IntN(3) {
			key, one := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
			s.fill(key, "", deep-1)
			s.fill(one, "", deep-1)
			v.SetMapIndex(key, one)
		}
	case reflect.Bool:
		v.SetBool(s.IntN(2) == 0)
	case reflect.Int, reflect.Int64:
		v.SetInt(s.entry(name))
	case reflect.Uint64:
		v.SetUint(s.Uint64())
	case reflect.Float64:
		v.SetFloat(s.NormFloat64())
	case reflect.String:
		v.SetString(s.text(name))
	default:
		panic(fmt.Sprintf("nothing random of the type %s is known, for %s", v.Type(), name))
	}
}

// entry is the number of an entry that a field of this name speaks of; of any other, a small number.
func (s *someTeam) entry(name string) int64 {
	kind := map[string]string{
		"Hold": HoldPlaced{}.Kind(), "Notice": NoticeTaken{}.Kind(), "Incident": IncidentLogged{}.Kind(),
		"Question": MakerAsked{}.Kind(), "Photo": Photographed{}.Kind(), "About": IncidentLogged{}.Kind(),
	}[name]
	if of := s.said[kind]; len(of) > 0 {
		return of[s.IntN(len(of))]
	}
	return s.Int64N(100)
}

func (s *someTeam) text(name string) string {
	switch name {
	case "Mark", "Marks", "Bundle", "Set", "Out", "Items", "To", "Became", "Could", "Unseen", "Rope":
		return s.one(s.marks)
	case "In", "Parts", "Contents": // nothing is in two of them
		return s.newMark()
	case "ID", "Person", "People", "Holder", "Signer", "Who", "Asked", "First", "Witness":
		return s.one(s.people)
	case "Inspection", "Repeats":
		return s.one(s.inspections)
	case "Round":
		return s.one(s.rounds)
	case "Flow":
		return s.flow
	case "Hash":
		return s.one(s.photos)
	case "Maker", "Model": // few, so that sheets meet items
		return []string{"Dunlin", "緊急"}[s.IntN(2)]
	}
	return someText(s.Rand)
}

// TestSomeRegistersHoldEveryKindOfEntry holds what someRegister writes against the list of kinds that can be read: one that no
// register has would never be written out and read back by a test.
func TestSomeRegistersHoldEveryKindOfEntry(t *testing.T) {
	db := plain(t, filepath.Join(t.TempDir(), "a.db"))
	defer db.Close()
	for seed := range uint64(30) {
		someRegister(t, db, seed)
	}
	written := map[string]int{}
	view(t, db, func(tx *Tx) error {
		for after := int64(beforeAll); ; {
			entries, err := tx.EntriesAfter(after, atOnce)
			if err != nil || len(entries) == 0 {
				return err
			}
			for _, e := range entries {
				ev, err := e.Event()
				if err != nil {
					return err
				}
				written[reflect.TypeOf(ev).Elem().Name()]++
			}
			after = entries[len(entries)-1].Seq
		}
	})
	known := kindsRead(t)
	for _, name := range known {
		if written[name] == 0 {
			t.Errorf("no random register holds a %s", name)
		}
	}
	if len(written) != len(known) {
		t.Errorf("%d kinds are known, and %d were written", len(known), len(written))
	}
}

// kindsRead are the types that decode knows, by name, as its text lists them.
func kindsRead(t *testing.T) (names []string) {
	t.Helper()
	tree, err := parser.ParseFile(token.NewFileSet(), "event.go", nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(tree, func(n ast.Node) bool {
		if literal, is := n.(*ast.CompositeLit); is {
			if name, is := literal.Type.(*ast.Ident); is && !slices.Contains(names, name.Name) {
				names = append(names, name.Name)
			}
		}
		return true
	})
	if len(names) < 80 {
		t.Fatalf("only %d kinds are found in event.go", len(names))
	}
	return names
}
