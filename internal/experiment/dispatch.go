package experiment

import (
	"context"
	"fmt"
	"runtime/debug"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// A ReplicationError is the failure of one replication.
type ReplicationError struct {
	Number int // from 1
	Err    error
}

func (e *ReplicationError) Error() string {
	return fmt.Sprintf("replication %d: %v", e.Number, e.Err)
}

// Unwrap gives the plant's own error.
func (e *ReplicationError) Unwrap() error { return e.Err }

// outcome is what became of one replication, or of whatever else is numbered.
type outcome[T any] struct {
	number int
	result T
	err    error
}

// aheadPerWorker bounds how many finished replications may wait for a slow one
// before them, and so the memory held. Four keep all workers busy unless one
// replication takes four times as long as the others.
const aheadPerWorker = 4

// dispatcher runs replications in parallel and takes them in order.
type dispatcher = inOrder[*plant.Result]

// inOrder runs numbered simulations in parallel and takes what they give in the
// order of their numbers.
type inOrder[T any] struct {
	workers, most int
	simulate      func(ctx context.Context, number int) (T, error)
	take          func(T) (enough bool)
}

// run simulates numbers 1, 2, ... and hands the results to take in the order of
// their numbers until take has enough, most is reached, ctx is cancelled or one
// fails. Those begun beyond the end are dropped, whatever became of them: to
// keep whichever were finished would favour the quick ones and make the answer
// depend on the number of workers.
//
// The error is that of ctx, or a *ReplicationError; either way the results
// taken are those of 1..k without a gap. run returns when every goroutine it
// started has ended.
func (d inOrder[T]) run(ctx context.Context) error {
	inner, stop := context.WithCancel(ctx)
	outcomes := make(chan outcome[T])
	waiting := map[int]outcome[T]{} // done, but not their turn
	launched, taken, flying := 0, 0, 0
	defer func() {
		stop()
		for ; flying > 0; flying-- {
			<-outcomes
		}
	}()
	for taken < d.most {
		for flying < d.workers && launched < d.most && launched < taken+aheadPerWorker*d.workers {
			launched++
			flying++
			go func(number int) { outcomes <- d.attempt(inner, number) }(launched)
		}
		o := <-outcomes
		flying--
		waiting[o.number] = o
		for next, ready := waiting[taken+1]; ready; next, ready = waiting[taken+1] {
			delete(waiting, next.number)
			if next.err != nil {
				return failure(ctx, next.number, next.err)
			}
			taken++
			if d.take(next.result) {
				return nil
			}
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	return nil
}

// attempt carries out one replication. A panic becomes its error: in this
// goroutine nobody else could recover it, and one replication must not take the
// others with it.
func (d inOrder[T]) attempt(ctx context.Context, number int) (o outcome[T]) {
	o.number = number
	defer func() {
		if value := recover(); value != nil {
			o.err = &des.PanicError{Process: "replication", Value: value, Stack: debug.Stack()}
		}
	}()
	o.result, o.err = d.simulate(ctx, number)
	return o
}

// failure tells a replication cut short by the caller from one that failed.
func failure(ctx context.Context, number int, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return &ReplicationError{Number: number, Err: err}
}
