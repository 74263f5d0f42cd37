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
