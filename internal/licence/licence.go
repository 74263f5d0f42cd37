// Package licence carries the licences of what is linked into potbank, since
// they ask that their text goes along with a program. Its tests hold every
// module that is linked, and those that only tests use, to lists of licences
// that are allowed.
package licence

import _ "embed"

//go:embed licences.txt
var texts string

// Texts are the licences of everything that is linked into potbank on any
// platform it is built for, each once, behind a list of who is under which.
// The text is made by the tests: go test ./internal/licence -update.
func Texts() string { return texts }
