// Package share has the replications of a study run on many machines.
//
// The machine that asks, the desk, keeps the ledger; workers join it, take one
// job per idle core, and send the result back. A job is a pure function of what
// it carries, so it does not matter who does it, how often, or in which order:
// the desk waits for results by key, and the study takes them in its own order.
// What is pending is what was asked for and has not come; the queue between desk
// and workers may be lost at any time, and is then filled again.
//
// The queue is NATS JetStream: embedded in the desk, or a cluster by its URL. No
// other package knows of it.
//
//	desk.go    asks, and takes results in
//	lost.go    finds what the queue has lost, and asks again
//	broker.go  the embedded server, and the streams on any server
//	job.go     what goes over the wire
//	worker.go  takes jobs and does them
//	kind.go    who may work for whom
package share
