//go:build !race

package decision_test

// sizeWeeks is how long works are run.
const sizeWeeks = 10
