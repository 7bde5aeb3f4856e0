package bot

// minutesFor is how long the thorough inspection of one item takes, for planning: the longer end of common practice for
// each family (no published source). A family that isn't here is reckoned like the longest of those held in one hand.
func minutesFor(family string) int {
	minutes, known := map[string]int{
		"connector":                     2,
		"pulley":                        5,
		"toothed-rope-grab":             6,
		"cam-handle-descender":          10,
		"assisted-braking-belay-device": 10,
	}[family]
	if !known {
		return 10
	}
	return minutes
}
