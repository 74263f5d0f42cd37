package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"reflect"

	"potbank/internal/plant"
)

// Key identifies one replication by everything that its result depends on.
type Key [sha256.Size]byte

// String is the beginning of the key, enough to tell it from any other.
func (k Key) String() string { return hex.EncodeToString(k[:8]) }

// results is the version of the engine's results together with the layout in
// which they are stored.
var results = fmt.Sprintf("%d %s", plant.ResultsVersion, Layout(reflect.TypeFor[plant.Result]()))

// keyOf is the key of a replication of the works with a hash. What watches a run
// or asks whether to stop it changes nothing of its result.
func keyOf(works string, o plant.Options) Key {
	h := sha256.New()
	fmt.Fprintf(h, "%s\n%s\n%d %d %t %d\n", results, works, o.Source.Seed(), o.Source.Replication(), o.Fixed, o.Weeks)
	fmt.Fprintf(h, "%t %q\n", o.Daily, o.Until)
	if o.Redeal != nil {
		fmt.Fprintf(h, "%q %d %d\n", o.Redeal.Causes, o.Redeal.Source.Seed(), o.Redeal.Source.Replication())
	}
	if o.Master != nil {
		h.Write(Encode(o.Master))
	}
	return Key(h.Sum(nil))
}
