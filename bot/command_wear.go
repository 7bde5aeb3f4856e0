package bot

import (
	"math"
	"strconv"
	"strings"

	"becket/bot/picture"
	"becket/flows/due"
	"becket/flows/wear"
)

const (
	mostReadings = 12  // how many readings of a place are listed
	mostPictures = 3   // how many pictures go with one reply
	sharp        = 2   // pixels to a point
	halfYear     = 183 // days
)

// wear shows how each measured place of an item wore, in words and as pictures: "wear D-07".
func (t *turn) wear(args string) error {
	item, _, found, err := t.namedItem(strings.TrimRight(args, "?. "), "wear D-07")
	if err != nil || !found {
		return err
	}
	if kept, err := t.withheld(item.Mark); err != nil || kept {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	all, err := t.coursesOf(s.item, s.sheet)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		t.say(wearNothing, item.Mark)
		return nil
	}
	lines := []string{format(wearHead, item.Mark, t.describe(item))}
	life := s.lifeEnd.Date
	if !life.IsZero() {
		lines = append(lines, format(openingLife, life.Words(), boundWords(s.lifeEnd.Bound)))
	}
	var pictures []File
	for _, c := range all {
		lines = append(lines, t.courseWords(c, s)...)
		if len(c.counts().Readings) > 1 && len(pictures) < mostPictures {
			file, err := t.wearPicture(item.Mark, life, c)
			if err != nil {
				return err
			}
			pictures = append(pictures, file)
		}
	}
	r := t.reply(joined(append(lines, wearPlan)...))
	r.Files = pictures
	return nil
}

// courseWords says all that a picture shows.
func (t *turn) courseWords(c *course, s status) []string {
	if !c.limited {
		return c.history()
	}
	return append(append(c.history(), c.forecastWords()...), t.forecastNow(c, s)...)
}

// history is what was read, and the limit that it is held against.
func (c *course) history() []string {
	series := wearSeries
	if c.mixed {
		series = wearSeriesMixed
	}
	lines := []string{format(series, capital(c.name), c.unit, c.doubt)}
	from := max(0, len(c.Readings)-mostReadings)
	if from > 0 {
		lines = append(lines, format(wearEarlier, from))
	}
	for n, r := range c.Readings[from:] {
		if from+n == c.begins && n > 0 {
			lines = append(lines, wearAnew)
		}
		lines = append(lines, format(wearOn, r.On.Words(), c.values[from+n]))
	}
	if !c.limited {
		return append(lines, wearOpenEnded)
	}
	return append(lines, format(wearHolds, limitWord(c.limit.Verdict), c.limit.At, c.cited))
}

// forecastWords says what may be said of the days to come, or why nothing is.
func (c *course) forecastWords() []string {
	f := c.forecast()
	switch f.Outcome {
	case wear.TooFew:
		return []string{wearTooFew}
	case wear.NotShown:
		return []string{wearNotShown}
	case wear.Away:
		return []string{wearAway}
	case wear.Reached:
		return []string{wearReached}
	}
	pace := wearMore
	if c.Down {
		pace = wearLess
	}
	lines := []string{format(pace, strconv.FormatFloat(math.Abs(f.Line.Slope)*halfYear, 'f', max(2, c.places()), 64), c.unit)}
	if f.Far() {
		return append(lines, format(wearFar, f.Until.Words()))
	}
	about := due.Date{Year: f.Best.Year, Month: f.Best.Month}
	if f.Halved {
		return append(lines, format(wearHalved, about.Words(), f.From.Words()))
	}
	return append(lines, format(wearWhen, about.Words(), f.From.Words()))
}

// forecastNow says what a forecast means for somebody who wants to use the item; nothing, where it changes nothing.
func (t *turn) forecastNow(c *course, s status) []string {
	look, told := c.forecast().Look()
	switch {
	case !told, look != s.due, s.due == s.plain, s.out():
		return nil
	case due.Overdue(t.day(), s.due):
		return []string{format(wearByNow, s.item.Mark, s.due.Words(), s.plain.Words())}
	}
	return []string{format(wearSooner, s.item.Mark, s.due.Words(), s.plain.Words())}
}

// drawn is the picture of a course of an item, whose life ends on a day; zero: no day is given.
func (c *course) drawn(mark string, life due.Date) picture.Picture {
	f := c.forecast()
	soonest := pictureSoonest
	if f.Halved {
		soonest = pictureHalved
	}
	return picture.Wear(picture.Worn{
		Title: mark + ": " + c.name, Unit: string(c.unit), Course: c.counts(), Limited: c.limited, Forecast: f, Life: life,
		Words: picture.Words{
			Limit: format(pictureLimit, limitWord(c.limit.Verdict), c.limit.At, c.unit), Reading: pictureReading, Goes: pictureGoes, Band: pictureBand,
			Soonest: format(soonest, f.From.Words()), Life: format(pictureLife, life.Words()), Later: format(pictureLater, life.Words()),
		},
	})
}

// wearPicture draws a course and keeps it as a file.
func (t *turn) wearPicture(mark string, life due.Date, c *course) (File, error) {
	data, err := c.drawn(mark, life).PNG(sharp)
	if err != nil {
		return File{}, err
	}
	return t.keep(mark+" "+strings.ReplaceAll(c.name, "/", " ")+".png", "image/png", data)
}
