package bot

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// groove is one reading, in mm, of the depth that a keeper would enter on squared paper.
type groove struct {
	on   time.Time // at midnight UTC
	deep float64
}

// What yearTeam's sheet and caliper give.
const (
	grooveMost  = 1.037
	grooveDoubt = 0.04
)

// wearsOut is the day by which a groove has to be measured again, as with a ruler on squared paper: a line through the readings, the band
// about it in which 95 of 100 further readings lie, and the last whole day before the band touches the limit, looked for day by day. Zero: no
// such day, for as long ahead as the readings go back. The band's width: Draper and Smith, Applied Regression Analysis, 1.4; t: JCGM 100:2008, table G.2.
func wearsOut(grooves []groove) time.Time {
	n := float64(len(grooves))
	if n < 3 {
		return time.Time{}
	}
	t := []float64{12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228}[len(grooves)-3]
	days := func(g groove) float64 { return g.on.Sub(grooves[0].on).Hours() / 24 }
	var x, y, xx, xy float64
	for _, g := range grooves {
		x, y, xx, xy = x+days(g), y+g.deep, xx+days(g)*days(g), xy+days(g)*g.deep
	}
	across := xx - x*x/n
	slope := (xy - x*y/n) / across
	level := (y - slope*x) / n
	off := 0.0
	for _, g := range grooves {
		off += math.Pow(g.deep-level-slope*days(g), 2)
	}
	spread := max(math.Sqrt(off/(n-2)), grooveDoubt/math.Sqrt(3))
	steepest := slope + t*spread/math.Sqrt(across)
	last := grooves[len(grooves)-1]
	if across == 0 || slope < t*spread/math.Sqrt(across) || last.deep+grooveDoubt >= grooveMost {
		return time.Time{}
	}
	touches := func(day float64) bool {
		return level+slope*day+t*spread*math.Sqrt(1+1/n+math.Pow(day-x/n, 2)/across) >= grooveMost
	}
	span := int(days(last))
	if touches(float64(span + 1)) { // it says nothing that the last reading didn't know better: half of what is left, at the steepest
		half := math.Floor((grooveMost - last.deep - grooveDoubt) / steepest / 2)
		line := math.Floor((grooveMost-level)/slope) - float64(span)
		return last.on.AddDate(0, 0, max(1, int(min(half, line, float64(span)))))
	}
	for day := span + 2; day <= 2*span+1; day++ {
		if touches(float64(day)) {
			return grooves[0].on.AddDate(0, 0, day-1)
		}
	}
	return time.Time{}
}

// wears is what is read of the groove of a descender on a day: each wears at its own pace, and no two readings are alike. A connector has none.
func (y *year) wears(mark string) finds {
	if mark[0] == 'K' {
		return nil
	}
	number, err := strconv.Atoi(strings.TrimPrefix(mark, "D-"))
	if err != nil {
		y.Fatal(err)
	}
	pace := []float64{0.0031, 0.0042, 0.0011, 0.0024, 0.0002}[number/13%5] // mm a day
	deep := pace*float64(y.dayOfYear()) + 0.01*y.chance.Float64()
	var repeats []string
	for _, less := range []float64{0.007, 0.003, 0} {
		repeats = append(repeats, strconv.FormatFloat(max(0, deep-less), 'f', 3, 64))
	}
	return finds{"measure.cam_groove": strings.Join(repeats, " ")}
}

// deepest is the worst of what was read.
func deepest(read string) float64 {
	worst := 0.0
	for _, word := range strings.Fields(read) {
		if v, err := strconv.ParseFloat(word, 64); err == nil {
			worst = max(worst, v)
		}
	}
	return worst
}

// compareMeasured holds what was kept of all that was measured in a year against all answers of that year.
func (y *year) compareMeasured() {
	measured := 0
	for _, mark := range y.marks {
		measured += len(y.coursesNow(mark))
	}
	if measured == 0 {
		y.Error("nothing was measured all year")
	}
}
