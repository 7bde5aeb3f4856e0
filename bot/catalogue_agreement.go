package bot

// How far people agree.
const (
	agreeNone      = "Nothing that was inspected twice is signed yet, so nothing can be said of how far people agree. \"repeat 1 in 10\" has one in so many looked at again."
	agreeHead      = "Inspected twice, the second time blind and by somebody else: %d."
	agreeRaw       = "  Both in use: %d; both out of use: %d; only the first out of use: %d; only the second: %d."
	agreeShare     = "  Alike: %d of %d, %s (between %s and %s)."
	agreeKappa     = "  Kappa %.2f, between %.2f and %.2f; AC1 %.2f, between %.2f and %.2f; PABAK %.2f."
	agreeNoKappa   = "  Kappa isn't defined where everything came out the same; AC1 %.2f; PABAK %.2f."
	agreeRead      = "Read them together: kappa falls to nothing where nearly everything is clear, however well two people agree. Each interval holds the truth 95 times in 100, if the pairs are many."
	agreeMissed    = "Out of use by one of the two, at least: %d. The first missed %d of them, the second %d."
	agreeFound     = "So of what is to be found the first found %s (between %s and %s), if the second sees as well."
	agreeUnseen    = "By what they found apart from each other, about %.1f in all are to be found (give or take %.1f), so about %.1f that neither saw; more, where what is hard for one is hard for both."
	agreeDiffer    = "That the two differ as much as this, were they equally good, comes %d times in 100 by luck."
	agreeFewTwice  = "These are few: two dozen pairs say little, and none out of use say nothing of what is missed."
	agreePractice  = "In practice within a year: caught %d of %d faults that were set, %s (between %s and %s, exactly), by all together."
	percentOf      = "%.0f %%"
	gaugeHead      = "%d people, %d parts, %d times each."
	gaugeSpread    = "Standard deviations: the same person again %.4g; from person to person %.4g; the two together %.4g; the parts themselves %.4g."
	gaugeShare     = "Of all that the readings differ by, gauge and people make up %.1f %% (of the squares %.2f %%)."
	gaugeKinds     = "It tells %d kinds of part apart; five or more serve."
	gaugeGood      = "By the usual rule of thumb that is good: under 10 %."
	gaugeMiddling  = "By the usual rule of thumb that may serve: 10 to 30 %."
	gaugeBad       = "By the usual rule of thumb that doesn't serve: 30 % or more."
	gaugePooled    = "People differ alike on all parts, so what is left is counted to the gauge."
	gaugeNotPooled = "People differ more on some parts than on others; that is counted to the people."
	gaugeSource    = "AIAG, Measurement Systems Analysis, analysis of variance. It changes no doubt that an instrument is listed with."
)
