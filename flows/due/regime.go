package due

// Regime is what one law or standard says of the interval between thorough examinations, in months; 0 where it
// gives none.
type Regime struct {
	Name    string
	People  int // equipment that people hang on
	Goods   int // other lifting equipment
	Arduous int // frequent or arduous use: grit, paint, chemicals, masts and towers
	Source  string
}

// Regimes lists the regimes that give a number. Editions move, so each names its own.
func Regimes() []Regime {
	return []Regime{
		loler(),
		indg367(),
		{Name: "EN 365:2004", People: 12, Source: "EN 365:2004, periodic examination at least every 12 months"},
		{Name: "Rope access codes", People: 6, Source: "ISO 22846-2, BS 7985, BS 8437 and IRATA ICOP part 2, 2.10: at least twice a year"},
		{Name: "AS/NZS 1891.4:2009", People: 6, Source: "AS/NZS 1891.4:2009 table 9.1, harnesses, lanyards, devices and ropes"},
		{Name: "ANSI/ASSP Z359.2", People: 12, Source: "ANSI/ASSP Z359.2, from memory"},
		{Name: "California", People: 6, Source: "California, at least twice a year with a dated record, from memory"},
		{Name: "ASME B30.26", Goods: 12, Arduous: 3, Source: "ASME B30.26-2004, 26-4.8.3, severe service monthly to quarterly"},
	}
}

// loler is the default for every item.
func loler() Regime {
	return Regime{Name: "LOLER 1998", People: 6, Goods: 12, Source: "LOLER 1998 reg 9(3)"}
}

func indg367() Regime {
	return Regime{Name: "HSE INDG367", People: 6, Arduous: 3, Source: "HSE INDG367, revised 2009"}
}

// Strictest is the shortest of the intervals; 0 stands for none given.
func Strictest(months ...int) int {
	least := 0
	for _, m := range months {
		if m > 0 && (least == 0 || m < least) {
			least = m
		}
	}
	return least
}

// Interval is the strictest of the default for what hangs on the item ("goods", else people), its own interval,
// the maker's on the model sheet (each 0 when not given) and that for arduous use. It says which one it was; of
// equal ones, the first in that order.
func Interval(use string, own, sheet int, arduous bool) (months int, why string) {
	usual, whom := loler().People, "people"
	if use == "goods" {
		usual, whom = loler().Goods, "goods"
	}
	hard := 0
	if arduous {
		hard = indg367().Arduous
	}
	months = Strictest(usual, own, sheet, hard)
	switch months {
	case usual:
		why = "the default for " + whom + " (" + loler().Source + ")"
	case own:
		why = "the item's own interval"
	case sheet:
		why = "the maker's interval on the model sheet"
	case hard:
		why = "arduous use (" + indg367().Source + ")"
	}
	return months, why
}
