// Package des is a kernel for discrete-event simulation: a clock that jumps from
// event to event, processes that live through a story, and the things they wait for.
//
// # Two kinds of activity
//
// A [Process] is for whatever has a life story: a bench, a booth, a kiln, a crew. Its
// body reads like a works instruction and waits with methods of its Process. A [Timer]
// is for what happens at an instant, such as a piece coming out of the dryer. Both are
// events in one calendar. A process wait costs about three times a timer and 3 kB of
// memory, so stations are processes and pieces are data.
//
//	s := des.New()
//	defer s.Close()
//	booth := s.Places("booth", 1)
//	for i := range 3 {
//		s.Go(fmt.Sprint("glazer ", i+1), func(p *des.Process) {
//			p.Take(booth, 1, 0)
//			defer booth.Give(1)
//			p.Pass(10 * des.Minute)
//			fmt.Println(p.Now(), p.Name(), "is done")
//		})
//	}
//	err := s.Run(des.Hour)
//
// # Time and order
//
// [Time] is in whole milliseconds, so sums are exact and what should coincide does.
// Events happen in the order of (time, [Rank], sequence): earlier first; in one instant
// what finishes before what starts; and in one rank whatever was scheduled first.
// Nothing else decides, so equal runs are equal to the last event.
//
// # Waiting
//
//	[Process.Pass]   for time to pass        [Process.Work]  within working [Hours]
//	[Process.Take]   for free [Places]       [Process.TakeAll]  several in one step
//	[Rack]           for room or for things  [Load]          for a load to fill
//	[Door]           while it is shut        [Bell]          until something changes
//	[WaitAny]        for the first of several, or a time limit
//
// Whoever serves gives directly to whom it serves: a process that is woken has its
// places or its thing already, and nobody can jump in between. [Process.Cut] interrupts
// any wait.
//
// # Ends
//
// [Sim.Run] returns an error, not a mystery: a panic with its process, instant and
// stack; a run that is stuck, with who waits for what and who holds it; an instant that
// never ends. [Sim.Close] unwinds every process, running its deferred calls, and leaves
// no goroutine behind.
//
// A run belongs to one goroutine and shares nothing, so replications run in parallel.
// The goroutine of Run must not be locked to a thread in some calls and not in others
// (runtime.LockOSThread): coroutines, on which bodies run, do not survive that.
package des
