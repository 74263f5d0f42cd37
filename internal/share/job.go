package share

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"fmt"
	"io"

	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// job is one message to the workers: replications of one works, so many that
// they take a second or so together. The works itself is asked for once, by its
// hash.
type job struct {
	Kind   string
	Desk   string // who asks; results go there
	Works  string // hash
	Number uint64 // of the message, by desk
	Not    string // a worker that must not do it, since it is to be compared with its result
	Tasks  []task
}

// task is one replication, by all that its result depends on besides the works.
type task struct {
	Key         ledger.Key
	Seed        uint64
	Replication uint32
	Fixed       bool
	Weeks       int
	Master      *plant.MasterFault
	Redeal      *redealt
	Daily       bool
	Until       []string
}

// redealt is a [plant.Redeal] on the wire.
type redealt struct {
	Causes      []plant.Cause
	Seed        uint64
	Replication uint32
}

// taskOf writes down the options of a replication. What watches a run stays at
// the desk: such runs are never shared.
func taskOf(k ledger.Key, o plant.Options) task {
	t := task{Key: k, Seed: o.Source.Seed(), Replication: o.Source.Replication(), Fixed: o.Fixed, Weeks: o.Weeks, Master: o.Master, Daily: o.Daily, Until: o.Until}
	if o.Redeal != nil {
		t.Redeal = &redealt{o.Redeal.Causes, o.Redeal.Source.Seed(), o.Redeal.Source.Replication()}
	}
	return t
}

// options reads them back.
func (t *task) options(stopped func() bool) plant.Options {
	o := plant.Options{Source: random.New(t.Seed, t.Replication), Fixed: t.Fixed, Weeks: t.Weeks, Master: t.Master, Daily: t.Daily, Until: t.Until, Stopped: stopped}
	if t.Redeal != nil {
		o.Redeal = &plant.Redeal{Causes: t.Redeal.Causes, Source: random.New(t.Redeal.Seed, t.Redeal.Replication)}
	}
	return o
}

// outcome is the answer to one job.
type outcome struct {
	Worker string
	Cores  int    // that it has
	Number uint64 // of the job
	Back   string // not done, and why; empty: it is done
	Deaths int    // of workers that had the job, if it is handed back for that
	Millis int64  // that the job took
	Parts  []part
}

// part is the end of one task.
type part struct {
	Key    ledger.Key
	Packed string // the result; empty if there is none
	Err    string // why: the works got stuck, say. Run again it ends so again
}

// squeeze writes a value small.
func squeeze(v any) []byte {
	var b bytes.Buffer
	w, _ := flate.NewWriter(&b, flate.BestSpeed) // the level is known
	w.Write(ledger.Encode(v))                    // into memory
	w.Close()
	return b.Bytes()
}

// mostMessage bounds what a message may unpack to, bytes.
const mostMessage = 256 << 20

// expand reads what squeeze wrote.
func expand(b []byte, v any) error {
	text, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(b)), mostMessage+1))
	if err != nil || len(text) > mostMessage {
		return fmt.Errorf("a message of %d bytes cannot be read", len(b))
	}
	return ledger.Decode(text, v)
}

// messageID names a message, so that the broker drops one that was sent twice
// by a connection that broke.
func messageID(desk string, number uint64) string {
	return fmt.Sprintf("%x", sha256.Sum256(fmt.Appendf(nil, "%s %d", desk, number)))[:32]
}
