//go:build race

package proof

// racing tells that the race detector is on, which makes a proof ten times as
// long.
const racing = true
