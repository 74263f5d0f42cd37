package stats

// weekBatch is the number of weeks averaged by MSER-5.
const weekBatch = 5

// WeekCut decides how many whole weeks at the beginning of a run belong to its
// start-up. weeks holds one average a week of a measure such as pieces in the
// plant, averaged over the runs (AverageSeries). A plant with weekends has no
// steady state within the week, only from week to week, so weeks are the
// smallest unit of the cut.
//
// The rule is MSER-5 on the weeks; with fewer than 50 weeks, and so fewer than
// ten batches of 5, single weeks (MSER-1) with a warning. If there are fewer than
// 10 weeks, a warning says that the run is too short, and the cut returned is at
// most half the run so that something is left to look at.
//
// A cut in the second half means that the run is too short, or nothing: of a
// settled series of a year the noise of the last batches alone puts it there one
// time in six. So the best cut of the first half is taken, and the run is called
// too short only if the series from there on still rises or falls (Growing's
// test, of the series and of its mirror image). A series still growing
// after the cut gives a warning too: its averages describe no plant at rest but
// the length of the run.
//
// The rule sees only what shows in the series. The caller should also keep
// clear of start-up known from the plant: at least twice the longest flow time
// with refiring, and one mean mould life if all moulds start with the same age.
func WeekCut(weeks []float64) (cut int, warnings []string) {
	var e Estimate // only to word the warnings
	batch := weekBatch
	if len(weeks) < weekBatch*mserLeast {
		batch = 1
		e.warn("Only %d weeks: the start-up is judged week by week. %d weeks or more give a surer cut.", len(weeks), weekBatch*mserLeast)
	}
	cut, ok, statistic := MSER(weeks, batch)
	if 2*cut > len(weeks) {
		cut = bestOfFirstHalf(statistic) * batch
		ok = len(weeks) >= mserLeast && !trends(weeks[cut:])
	}
	if !ok {
		e.warn("The run of %d weeks is too short to tell the start-up from normal running: make it longer.", len(weeks))
	}
	if growing, perWeek, _ := Growing(weeks[cut:]); growing {
		e.warn("The level is still growing by about %.3g a week at the end of the run: the plant does not keep up, or the run is too short. Do not read averages from it.", perWeek)
	}
	return cut, e.Warnings
}

// bestOfFirstHalf is the number of batches not above half of them with the least
// MSER statistic.
func bestOfFirstHalf(statistic []float64) int {
	best := 0
	for d := range statistic[:len(statistic)/2+1] {
		if statistic[d] < statistic[best] {
			best = d
		}
	}
	return best
}

// trends tells whether a series rises or falls, with one chance in ten that a
// settled one is said to: what is asked has been put in doubt by MSER already.
func trends(series []float64) bool {
	mirrored := make([]float64, len(series))
	for i, x := range series {
		mirrored[i] = -x
	}
	_, _, rises := Growing(series)
	_, _, falls := Growing(mirrored)
	return min(rises, falls) <= 0.05
}
