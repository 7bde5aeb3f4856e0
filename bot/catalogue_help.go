package bot

// What can be typed, a line for each and what it is for: first what every day brings, the rest by what it is about.
const (
	helpIdle = `You can type:
  inspect D-07 - a thorough inspection, step by step; carry on - a paused one; take over D-07 - somebody else's
  round due - many in one go; round K-01 to K-40, round connectors
  check D-07 - the short look before use
  can I use D-07 - whether it may be used now
  due - what is over, due or held
  quarantine D-07 and why - out of use at once; quarantine blue pulley, east stack, no mark - when no mark can be read
  incident fall Gull Gully, R-03 D-07 K-01 - a whole system out of use
  conditions dusty, D-07 K-01 - what a day did to kit
  second opinion - in an inspection, or with a held item's mark: somebody competent looks too, without your view
  practice - invented kit, some of it faulty, between you and me
  words - how questions are put to you: short, usual or explained
The rest, by what it is about:
  help kit - finding, issuing, sets, bags, what is borrowed, labels
  help held - back from quarantine, retired, notices, asking the maker
  help records - what was found, how it wore, what it will cost, reports
  help team - people, reminders, the plan, makers' figures, calipers`

	helpKit = `You can type:
  take in - a new item; a spreadsheet sent here, or import - many at once, shown before a yes, for the keeper
  find dunlin rack 2 - by any part of mark, serial, maker, model, place or holder
  who has D-07; what has @isla
  issue D-07, K-12 to @isla - also: for goods; to visitor Tom Hale with @isla
  return D-07 rack 2 - back, and where it is
  not seen K-12; found K-12 in the east hut
  set S-1 of D-07, K-12 - used as one; swap K-12 for K-13 in S-1; add part, take out
  seal B-1 number 4471 with D-07, K-12 - a sealed bag; open B-1 and the number on its seal
  cut R-12 at 34 m - one rope into two, each with a mark of its own
  goods only D-11 - never for people again
  borrow V-01 - kit that isn't ours; sent back V-01
  papers D-07 - a page to travel with it
  life D-07 - what limits its life, and which date counts
  correct D-07 made 2019: and why - what the register has wrong
  maintained D-07 and what was done
  tags K-01 to K-40 - labels; a picture of one names the item`

	helpHeld = `You can type:
  in quarantine - every hold, why, and who can act; what is to be destroyed or replaced
  D-02 is in the red box - where a held item is kept
  it was P-03 - once you know which one had no mark; wrong one D-02, it is D-07 - when the wrong mark was reported
  release D-07 and why - back from quarantine, in writing
  retire D-07 and why; destroyed D-07 witness @ben; replaced D-07 by D-09
  notice - a maker's safety notice; have it D-09 - the answer to one
  ask maker D-07 - a letter to its maker; maker says D-07 - what came back`

	helpRecords = `You can type:
  history D-07 - its records
  why D-07 - which rules gave its last verdict
  report D-07 - the report of its last thorough examination, also as a file; report round - all of a round
  export register - the register as a spreadsheet
  evidence pack - all of the record for an audit, as one file, for the keeper
  wear D-07 - how it wore, and what may be said of the days to come
  cause D-02 grit left - what wore it; causes - what worn kit has in common
  budget - what will have to be replaced in three years; price D-07 180
  agreement - how far two looks at the same item agree, for the keeper`

	helpTeam = `You can type:
  team - who is here and may sign; add, competent, keeper, remove - the keeper changes it
  supervise D-07 fit - close what somebody examined under your eyes; log @isla
  handover - everything that is open
  digest - when the room is told by itself; quiet - when it isn't
  calendar - what falls due, as a file for calendars
  plan - the coming year; plan spread - what could be done earlier
  repeat - second looks; repeat 1 in 15 - how many there are
  sheet - a maker's figures for a model; confirm sheet - typed by a second person
  models without sheet - whose figures are missing
  judge again - every item by the scripts and figures of today, for the keeper
  instrument - a caliper with its check date; instrument C-2 checked, instrument C-2 out by 0.2 mm
  status - how I am, for the keeper`
)

// helpTexts is what can be typed, each behind the word that follows "help" to have it.
func helpTexts() [][2]string {
	return [][2]string{{"", helpIdle}, {"kit", helpKit}, {"held", helpHeld}, {"records", helpRecords}, {"team", helpTeam}}
}
