//go:build race

package des_test

// Under the race detector a run takes ten times as long, so runs are shorter there. They
// then show that the models work, not that their figures are right.
const shorter = 60
