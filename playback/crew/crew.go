// Package crew is the link between a rehearsal and the machines of those who take
// part in it: a messaging server within the lead's process (NATS), the lead's end of
// it, and a member's.
//
// Nothing listens before Open is called. From then on all goes over TLS with a
// certificate made for that one rehearsal; a member has its fingerprint beforehand
// and talks to no other. Whoever has a code is let in, as the kind of role that the
// code is for, and may publish and hear exactly what that kind may: the server itself
// sees to that, by the subject. A member's subjects have its machine's number in
// them, so nobody can speak as another.
//
//	lead                                           member with number N
//
//	        <- dl.from.N.hello    Hello: name and role, at each connection
//	           dl.to.N.welcome    Welcome: what is rehearsed, or why not ->
//	        <- dl.from.N.clock    Ask: the clock's request, four times a second;
//	                              it also says that the machine is there
//	           dl.to.N.clock      Tell: its reply ->
//	        <- dl.from.N.DEED     Deed: what the role may do; one subject for each
//	           dl.to.N.answer     Answer: taken or refused ->
//	           dl.to.N.own        Cues: those of its position ->
//	           dl.all.state       State: of the run, ten times a second and at
//	                              every change ->
//	           dl.all.crew        Crew: who is there, at every change ->
//	           dl.all.cues        Cues: of all positions ->
//	           dl.all.events      Event: what goes into the log ->
//	           dl.all.drill       Drill: for trainers, what the others are not to know,
//	                              five times a second while one is there ->
//	           dl.to.N.drill      Drill: what the drill has in store, to a trainer that
//	                              comes; and by dl.to.N.events what has happened ->
//
// All messages are JSON. Times are nanoseconds by the lead's clock since Open, frames
// are the soundtrack's. A member carries the frame heard over the shared clock
// (show/crewclock): it asks, by its own clock, which is never the time of day.
//
// The run never waits for anybody here. The lead looks at it as a screen does, by
// snapshots; what members ask of it goes into the deck's inbox; what they do not read
// is dropped by the server, and whoever sends far too much is sent away. A HOLD has a
// way of its own, which nothing else can fill.
//
// Members hold by themselves when nothing is heard of the lead: see Member.View.
package crew

import "time"

// Version is the version of what is spoken.
const Version = 1

const (
	tick       = 10 * time.Millisecond  // how often the lead looks at the run
	stateEvery = 100 * time.Millisecond // a state without news
	cuesEvery  = 500 * time.Millisecond
	crewEvery  = time.Second
	teachEvery = time.Second / 5        // what trainers are told
	anewGap    = time.Second            // between two times that one is told everything from the start
	askEvery   = 250 * time.Millisecond // a member's clock, and its sign of life
	askSoon    = 25 * time.Millisecond  // ... for the first few
	holdGap    = 50 * time.Millisecond  // between two holds of one member that are handed on
	holdAgain  = 100 * time.Millisecond // a member's HOLD, until it is answered
	holdFor    = 10 * time.Second       // ... at most
	dialWithin = 10 * time.Second
)

// Limits of what is spoken.
const (
	MaxMessage = 64 << 10 // bytes
	MaxCues    = 12       // of a list
	maxName    = 60       // characters of a name from the show
	maxWord    = 100      // characters of a word or a name in an entry of the log
	maxText    = 200      // characters of any other text
	queued     = 256      // deeds that wait for the lead
	keptEvents = 1024     // by the lead, for trainers who come late, and by a member
	mostASec   = 200      // messages of one member; who sends more is sent away

	MaxTrainers = 4  // who are there at once
	mostSteps   = 10 // that one of them asks for in a second
)
