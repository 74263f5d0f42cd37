//go:build race

package scenario

// invented is how many works TestInventedWorks makes.
const invented = 20
