package bot

import (
	"slices"
	"strings"

	"becket/flows/ahead"
	"becket/flows/due"
	"becket/flows/wear"
	"becket/store"
)

// budgetMonths is how far a budget looks.
const budgetMonths = 36

// price keeps what a new one of an item's model costs: "price D-07 180".
func (t *turn) price(args string) error {
	item, rest, found, err := t.namedItem(args, "price D-07 180")
	if err != nil || !found {
		return err
	}
	if item.Model == "" {
		t.refuse(priceNoModel, item.Mark)
		return nil
	}
	price, err := ahead.ParseMoney(strings.TrimRight(rest, ". "))
	if err != nil || price == 0 {
		t.refuse(priceHow, item.Mark)
		return nil
	}
	if _, err := t.write(store.Priced{Maker: item.Maker, Model: item.Model, Hundredths: int64(price)}); err != nil {
		return err
	}
	t.say(priceKept, item.ModelName(), price)
	return nil
}

// budget says what will have to be replaced in three years, month by month, and what that costs, as a range.
func (t *turn) budget(string) error {
	needs, err := t.needs()
	if err != nil {
		return err
	}
	b := ahead.For(t.day(), budgetMonths, needs)
	end := due.Date{Year: t.day().Year, Month: t.day().Month, Day: 1}.AddMonths(budgetMonths).AddDays(-1)
	inQuarantine, err := t.heldWords(budgetHeld)
	if err != nil {
		return err
	}
	if b.Most == 0 {
		t.reply(joined(format(budgetNothing, end.Words()), inQuarantine, budgetSource))
		return nil
	}
	many := format(budgetNumber, b.Least)
	if b.Most > b.Least {
		many = format(budgetRange, b.Least, b.Most)
	}
	cost := moneyWords(b.Low, b.High)
	if b.High == 0 {
		cost = budgetFree
	}
	lines := []string{format(budgetHead, end.Words(), many, cost)}
	for _, m := range b.Months {
		lines = append(lines, monthWords(m, t.day()))
	}
	if len(b.Unpriced) > 0 {
		lines = append(lines, format(budgetUnpriced, strings.Join(b.Unpriced, ", "), b.Unpriced[0]))
	}
	t.reply(joined(append(lines, inQuarantine, budgetSource)...))
	return nil
}

// heldWords names in a sentence what is in quarantine and not retired; empty: nothing is.
func (t *turn) heldWords(sentence string) (string, error) {
	holds, err := t.tx.Quarantined(t.m.Room)
	if err != nil || len(holds) == 0 {
		return "", err
	}
	var marks []string
	for _, h := range holds {
		marks = append(marks, h.Mark)
	}
	return format(sentence, cutList(slices.Compact(marks), mostNamed)), nil
}

// mostNamed is how many marks are named in a row.
const mostNamed = 20

func moneyWords(low, high ahead.Money) string {
	if low == high {
		return low.String()
	}
	return format(budgetBetween, low, high)
}

func monthWords(m ahead.Month, today due.Date) string {
	what := m.Certain
	if len(m.Perhaps) > 0 {
		what = append(slices.Clone(what), format(budgetPerhaps, strings.Join(m.Perhaps, ", ")))
	}
	when := due.Date{Year: m.First.Year, Month: m.First.Month}.Words()
	if !m.First.After(today) {
		when = budgetNow
	}
	byThen := ""
	if m.High > 0 {
		byThen = format(budgetByThen, moneyWords(m.Low, m.High))
	}
	return format(budgetMonth, when, strings.Join(what, ", "), byThen)
}

// needs is every item of the team's own with what may end it.
func (t *turn) needs() ([]ahead.Need, error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return nil, err
	}
	waiting, err := t.tx.ToReplace(t.m.Room)
	if err != nil {
		return nil, err
	}
	var needs []ahead.Need
	for _, item := range items {
		s, err := t.statusOf(item)
		if err != nil {
			return nil, err
		}
		n := ahead.Need{Mark: item.Mark, Lasts: 12 * due.Strictest(s.item.LifeMadeYears, s.item.LifeUseYears)}
		switch at := slices.IndexFunc(waiting, func(r store.Retirement) bool { return r.Mark == item.Mark }); {
		case at >= 0:
			n.Latest = due.On(waiting[at].At.In(t.zone))
		case s.retired != nil, !s.custody.Gone.IsZero(), item.Loan != nil:
			continue
		default:
			n.Latest = s.lifeEnd.Date
			if n.Soonest, err = t.wornOut(s); err != nil {
				return nil, err
			}
		}
		hundredths, priced, err := t.tx.Price(t.m.Room, item.Maker, item.Model)
		if err != nil {
			return nil, err
		}
		n.Price, n.Priced = ahead.Money(hundredths), priced
		needs = append(needs, n)
	}
	return needs, nil
}

// wornOut is the earliest day on which wear is likely to end an item; zero where nothing is foretold. What somebody is
// measuring now, or is to look at blind, isn't spoken of.
func (t *turn) wornOut(s status) (soonest due.Date, err error) {
	if hidden, err := t.hidden(s.item.Mark); err != nil || hidden || !s.signed {
		return due.Date{}, err
	}
	all, err := t.coursesOf(s.item, s.sheet)
	for _, c := range all {
		f := c.forecast()
		if f.Far() || f.Outcome != wear.Foretold && f.Outcome != wear.Reached {
			continue
		}
		if soonest.IsZero() || f.From.Before(soonest) {
			soonest = f.From
		}
	}
	return soonest, err
}
