package decision

import (
	"math"

	"potbank/internal/des"
)

// CrewsToCover is the crews, or the people for one place, that some hours a week
// take if each is there for its contract hours less absence, a share from 0 up
// to 1: hours / (contract x (1 - absence)). What is not whole is overtime or a
// person in another crew.
func CrewsToCover(hours, contract, absence float64) float64 {
	return hours / (contract * (1 - absence))
}

// LastSafePour is the last instant at which ware can be poured that is to be
// punched before a shift ends: its window opens so long after the pour, and it
// then queues so long. What is poured later waits for the next shift, by whose
// beginning its window may have closed.
func LastSafePour(shiftEnd, opensAfter, queue des.Time) des.Time {
	return shiftEnd - (opensAfter + queue)
}

// Punching is one day's ware of one bench group and its window, by the clock:
// pieces leave their moulds one after another, evenly, and dry alike.
type Punching struct {
	Pieces        float64
	First, Last   des.Time // when the first piece is out of its mould, and when the last would follow the pieces
	Opens, Closes des.Time // of the window, after that
	Each          des.Time // punching and sticking of one piece
}

// Hours is the work inside the window.
func (p Punching) Hours() float64 { return p.Pieces * float64(p.Each) / float64(des.Hour) }

// Span is from the first window's opening to the last one's closing: the time in
// which all must be punched.
func (p Punching) Span() des.Time { return p.Last + p.Closes - (p.First + p.Opens) }

// People is how many must punch at once for the whole of the span. Whoever
// divides the work by the hours of a shift instead finds too few: the hours
// are there, but not inside the window.
func (p Punching) People() float64 {
	return p.Hours() * float64(des.Hour) / float64(p.Span())
}

// step is the time from one piece out of its mould to the next.
func (p Punching) step() float64 { return float64(p.Last-p.First) / p.Pieces }

// Fluid is how many pieces come too late with so many people, if ware flowed:
// piece k ends k x Each / people after the first window opens, and must end by
// its own closing. Hands without a gap, first in first out.
func (p Punching) Fluid(people float64) float64 {
	lose := float64(p.Each)/people - p.step() // of its margin, with each piece
	if lose <= 0 {
		return 0
	}
	return max(0, p.Pieces-float64(p.Closes-p.Opens)/lose)
}

// A Count is what becomes of a day's pieces, piece by piece.
type Count struct {
	EndLate   int // punched to the end after the window had closed
	BeginLate int // begun after it
	Last      des.Time
}

// OneByOne punches the pieces one by one with so many people: who is free takes
// the piece whose window closes first, once it is open. Pieces are whole, and
// begin with the first out.
func (p Punching) OneByOne(people int) Count {
	free := make([]float64, people)
	var c Count
	for k := range int(math.Round(p.Pieces)) {
		next := 0
		for i := range free {
			if free[i] < free[next] {
				next = i
			}
		}
		out := float64(p.First) + float64(float64(k)*p.step())
		begin := max(free[next], out+float64(p.Opens))
		free[next] = begin + float64(p.Each)
		if begin > out+float64(p.Closes) {
			c.BeginLate++
		}
		if free[next] > out+float64(p.Closes) {
			c.EndLate++
		}
		c.Last = max(c.Last, des.Time(free[next]+0.5))
	}
	return c
}
