//go:build !race

package proof

const racing = false
