package plant

import "potbank/internal/des"

// payroll pays every crew of the works for its rostered hours, whether it has
// work or not.
type payroll struct {
	wages int // counter
	heads []paidHeads
}

// paidHeads is the heads of a crew that share one set of hours.
type paidHeads struct {
	hours *des.Hours
	heads int64
	wage  int64 // per hour, premium included, millionths
	owed  meter
}

func (r *run) newPayroll(crews []Crew) payroll {
	p := payroll{wages: r.led.counter("cost.wages")}
	for k := range crews {
		c := &crews[k]
		for _, name := range sortedKeys(c.Roster) {
			wage := int64(float64(float64(c.Wage)*(1+float64(c.Premium[name]))) + 0.5)
			p.heads = append(p.heads, paidHeads{r.p.hours[name], int64(c.Roster[name]), wage, meter{per: int64(des.Hour)}})
		}
	}
	return p
}

// pay books the wages of a stretch of time.
func (p *payroll) pay(l *ledger, from, to des.Time) {
	for k := range p.heads {
		h := &p.heads[k]
		l.add(p.wages, h.owed.take(h.wage, h.heads*int64(h.hours.OpenBetween(from, to))))
	}
}

// due is what is owed from the start up to a time, reckoned in one go.
func (p *payroll) due(to des.Time) int64 {
	var sum int64
	for _, h := range p.heads {
		sum += whole(h.wage, h.heads*int64(h.hours.OpenBetween(0, to)), int64(des.Hour))
	}
	return sum
}
