// Package proof is the verification of potbank that anybody can run: published
// and computed values that the program must reproduce, and the exact laws that
// every run must keep.
//
// The values are the rows of checks/checks.csv, each with its source and with
// how surely that source is known. Each is run through the most public part of
// the program that knows such a thing: a plant scenario if a works can express
// it, else the pieces of the kernel, the statistics, the random laws or the
// calendar. Rows about things that potbank has no model of are listed with the
// reason; no code is here only to pass a row.
//
// The models of queues and lines (queue.go, kiln.go, line.go, machines.go and
// their neighbours) are also the place to learn the kernel from: each is a page
// long and has an answer in the textbooks.
//
// # When a figure holds
//
// A figure without chance holds if it equals the published one, or differs by
// no more than the rounding of the printed digits.
//
// A random figure is estimated from 40 independent replications. It holds if
// the 99.9 % interval covers the published value, and if the interval is narrow:
// at most 1 % to either side unless the case says otherwise, 2 % where the load
// is 0.9 or more. So that the check is known to be able to fail, the smallest
// error that it would have found is told as well; a figure 5 % off must be
// rejected. Seeds are fixed: a proof that holds keeps holding, on any number of
// workers.
//
// What is proved is arithmetic. That a model agrees with a textbook does not
// make it a picture of a works, and certifies nothing.
package proof
