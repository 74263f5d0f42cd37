//go:build !race

package des_test

// shorter divides the length of the runs in the textbook tests.
const shorter = 1
