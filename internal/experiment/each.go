package experiment

import "context"

// Each runs numbered simulations, whatever they are, in parallel and hands what
// they give to take in the order of their numbers, from 1 until take has enough
// or most is reached. What take gets does not depend on the number of workers.
//
// simulate must be safe for several goroutines at once and depend on the number
// alone. The error is that of ctx or a *ReplicationError; what was taken before
// is good either way.
func Each[T any](ctx context.Context, workers, most int, simulate func(ctx context.Context, number int) (T, error), take func(T) (enough bool)) error {
	return inOrder[T]{workers: max(1, workers), most: most, simulate: simulate, take: take}.run(ctx)
}
