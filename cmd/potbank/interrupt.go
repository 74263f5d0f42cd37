package main

import (
	"context"
	"fmt"
)

// interruptible returns a context that the first Ctrl-C cancels; the second
// quits at once. done ends the watch.
func (p *program) interruptible() (ctx context.Context, done func()) {
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan struct{})
	// The watch is a goroutine of its own so that the answer to Ctrl-C does not
	// wait for a replication, which looks at the context now and then: see
	// plant.Options.Stopped.
	go func() {
		for pressed := 0; ; pressed++ {
			select {
			case <-p.interrupts:
			case <-over:
				return
			}
			if pressed > 0 {
				p.quit(cancelled)
				return
			}
			fmt.Fprintln(p.err, "stopping; press Ctrl-C again to quit at once")
			cancel()
		}
	}()
	return ctx, func() {
		close(over)
		cancel()
	}
}
