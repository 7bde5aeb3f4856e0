package store

import (
	"encoding/json"
	"fmt"
)

// decode reads an entry's body back into its event. Every kind of event is named here once.
func decode(kind string, body []byte) (Event, error) {
	var ev Event
	switch kind {
	case TeamNamed{}.Kind():
		ev = &TeamNamed{}
	case PersonListed{}.Kind():
		ev = &PersonListed{}
	case PersonRemoved{}.Kind():
		ev = &PersonRemoved{}
	case CompetenceClaimed{}.Kind():
		ev = &CompetenceClaimed{}
	case LanguageChosen{}.Kind():
		ev = &LanguageChosen{}
	case WordsChosen{}.Kind():
		ev = &WordsChosen{}
	case CheckedBeforeUse{}.Kind():
		ev = &CheckedBeforeUse{}
	case SheetKeyed{}.Kind():
		ev = &SheetKeyed{}
	case SheetConfirmed{}.Kind():
		ev = &SheetConfirmed{}
	case SheetDisputed{}.Kind():
		ev = &SheetDisputed{}
	case JudgedAgain{}.Kind():
		ev = &JudgedAgain{}
	case StoreJudged{}.Kind():
		ev = &StoreJudged{}
	case InstrumentListed{}.Kind():
		ev = &InstrumentListed{}
	case InstrumentChecked{}.Kind():
		ev = &InstrumentChecked{}
	case InstrumentOut{}.Kind():
		ev = &InstrumentOut{}
	case ItemTaken{}.Kind():
		ev = &ItemTaken{}
	case CorrectionAsked{}.Kind():
		ev = &CorrectionAsked{}
	case ItemCorrected{}.Kind():
		ev = &ItemCorrected{}
	case Cut{}.Kind():
		ev = &Cut{}
	case Issued{}.Kind():
		ev = &Issued{}
	case Returned{}.Kind():
		ev = &Returned{}
	case NotSeen{}.Kind():
		ev = &NotSeen{}
	case Found{}.Kind():
		ev = &Found{}
	case LifeLimited{}.Kind():
		ev = &LifeLimited{}
	case WentBack{}.Kind():
		ev = &WentBack{}
	case SetMade{}.Kind():
		ev = &SetMade{}
	case PartsChanged{}.Kind():
		ev = &PartsChanged{}
	case BagSealed{}.Kind():
		ev = &BagSealed{}
	case BagOpened{}.Kind():
		ev = &BagOpened{}
	case HoldPlaced{}.Kind():
		ev = &HoldPlaced{}
	case HoldReleased{}.Kind():
		ev = &HoldReleased{}
	case Started{}.Kind():
		ev = &Started{}
	case Answered{}.Kind():
		ev = &Answered{}
	case Noted{}.Kind():
		ev = &Noted{}
	case Practised{}.Kind():
		ev = &Practised{}
	case PhotoDoubted{}.Kind():
		ev = &PhotoDoubted{}
	case PhotoVouched{}.Kind():
		ev = &PhotoVouched{}
	case Photographed{}.Kind():
		ev = &Photographed{}
	case Paused{}.Kind():
		ev = &Paused{}
	case Resumed{}.Kind():
		ev = &Resumed{}
	case TakenOver{}.Kind():
		ev = &TakenOver{}
	case LeftOff{}.Kind():
		ev = &LeftOff{}
	case Signed{}.Kind():
		ev = &Signed{}
	case OpinionAsked{}.Kind():
		ev = &OpinionAsked{}
	case OpinionGiven{}.Kind():
		ev = &OpinionGiven{}
	case Supervised{}.Kind():
		ev = &Supervised{}
	case Maintained{}.Kind():
		ev = &Maintained{}
	case DigitsMarked{}.Kind():
		ev = &DigitsMarked{}
	case HoldMoved{}.Kind():
		ev = &HoldMoved{}
	case StrikeAsked{}.Kind():
		ev = &StrikeAsked{}
	case RetirementStruck{}.Kind():
		ev = &RetirementStruck{}
	case RoomMoved{}.Kind():
		ev = &RoomMoved{}
	case GoodsOnly{}.Kind():
		ev = &GoodsOnly{}
	case DigestSet{}.Kind():
		ev = &DigestSet{}
	case DigestEnded{}.Kind():
		ev = &DigestEnded{}
	case QuietSet{}.Kind():
		ev = &QuietSet{}
	case HeadPosted{}.Kind():
		ev = &HeadPosted{}
	case Blanked{}.Kind():
		ev = &Blanked{}
	case PutOff{}.Kind():
		ev = &PutOff{}
	case Restored{}.Kind():
		ev = &Restored{}
	case Accounted{}.Kind():
		ev = &Accounted{}
	case RoundBegun{}.Kind():
		ev = &RoundBegun{}
	case RoundRope{}.Kind():
		ev = &RoundRope{}
	case RoundNotSeen{}.Kind():
		ev = &RoundNotSeen{}
	case RoundTakenOver{}.Kind():
		ev = &RoundTakenOver{}
	case RoundClosed{}.Kind():
		ev = &RoundClosed{}
	case SetDown{}.Kind():
		ev = &SetDown{}
	case RepeatsSet{}.Kind():
		ev = &RepeatsSet{}
	case RepeatAsked{}.Kind():
		ev = &RepeatAsked{}
	case StatementSent{}.Kind():
		ev = &StatementSent{}
	case PaperKept{}.Kind():
		ev = &PaperKept{}
	case HoldKept{}.Kind():
		ev = &HoldKept{}
	case UnmarkedHeld{}.Kind():
		ev = &UnmarkedHeld{}
	case UnmarkedSettled{}.Kind():
		ev = &UnmarkedSettled{}
	case CalledIn{}.Kind():
		ev = &CalledIn{}
	case IncidentLogged{}.Kind():
		ev = &IncidentLogged{}
	case IncidentAdded{}.Kind():
		ev = &IncidentAdded{}
	case ConditionsLogged{}.Kind():
		ev = &ConditionsLogged{}
	case NoticeTaken{}.Kind():
		ev = &NoticeTaken{}
	case NoticeActed{}.Kind():
		ev = &NoticeActed{}
	case HolderAsked{}.Kind():
		ev = &HolderAsked{}
	case HolderAnswered{}.Kind():
		ev = &HolderAnswered{}
	case Destroyed{}.Kind():
		ev = &Destroyed{}
	case Replaced{}.Kind():
		ev = &Replaced{}
	case WornBy{}.Kind():
		ev = &WornBy{}
	case Priced{}.Kind():
		ev = &Priced{}
	case MakerAsked{}.Kind():
		ev = &MakerAsked{}
	case MakerSent{}.Kind():
		ev = &MakerSent{}
	case MakerAnswered{}.Kind():
		ev = &MakerAnswered{}
	case ParticularsTold{}.Kind():
		ev = &ParticularsTold{}
	case ItemDetailed{}.Kind():
		ev = &ItemDetailed{}
	case ReportIssued{}.Kind():
		ev = &ReportIssued{}
	case Foretold{}.Kind():
		ev = &Foretold{}
	default:
		return nil, fmt.Errorf("no entry of the kind %q is known to this edition of Becket", kind)
	}
	if err := json.Unmarshal(body, ev); err != nil {
		return nil, fmt.Errorf("the entry's text can't be read: %w", err)
	}
	return ev, nil
}

// Projected names the tables that follow from the journal alone. Verify builds them again and compares.
func Projected() []string {
	return []string{
		"team",
		"moved",
		"person",
		"sheet",
		"instrument",
		"item",
		"item_text",
		"custody",
		"bundle",
		"part",
		"hold",
		"inspection",
		"reading",
		"bench",
		"misread",
		"opinion",
		"foretold",
		"calendar",
		"telling",
		"unaccounted",
		"round",
		"repeat_rule",
		"practice",
		"repeat",
		"unmarked",
		"called",
		"incident",
		"notice",
		"notice_item",
		"destruction",
		"replacement",
		"worn",
		"price",
		"maker_question",
		"particulars",
	}
}
