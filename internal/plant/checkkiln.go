package plant

import (
	"math"

	"potbank/internal/des"
	"potbank/internal/quantity"
)

// kiln checks a kiln against its kind.
func (c *checker) kiln(k *Kiln) {
	path := "kilns." + k.Name
	for _, name := range sortedKeys(k.Load) {
		if n := k.Load[name]; n < 1 || n > 1000 {
			c.fault(path+".load", "give pieces on a car, row or load of one ware", "a load must be 1 to 1000 pieces, got %d", n)
		}
	}
	if k.Kind == "shuttle" {
		c.shuttle(path, k)
	} else {
		c.tunnel(path, k)
	}
	c.curve(path+".curve", k)
}

func (c *checker) shuttle(path string, k *Kiln) {
	positive(c, path+".kilns", k.Count, "give the kilns of this kind")
	positive(c, path+".firing", k.Firing, "give the time from light-up to the end of the soak")
	if k.Start == "clock" && k.At == "" {
		c.fault(path+".at", "name the hours at whose opening the kiln is loaded", "loading by the clock needs a time")
	}
	if k.Start == "least" && k.Least <= 0 {
		c.fault(path+".least-load", "give a share of a full load", "the least load must be above zero")
	}
	if k.Hours == "" {
		return
	}
	if k.Start == "clock" && k.At != "" {
		c.clockWithin(path, k)
	}
	longest := c.p.hours[k.Hours].Longest()
	for key, span := range map[string]des.Time{"loading": k.Loading, "drawing": k.Drawing} {
		if span/2 > longest {
			c.fault(path+"."+key, "lengthen the hours", "%s takes %v and never fits half into the kiln's hours (%v)", key, span, longest)
		}
	}
}

// clockWithin checks that a kiln loaded by the clock is open at some of its times.
func (c *checker) clockWithin(path string, k *Kiln) {
	for _, iv := range c.p.hours[k.At].Intervals() {
		if c.p.hours[k.Hours].IsOpen(iv.Open) {
			return
		}
	}
	c.fault(path+".at", "let loading times fall within the kiln's hours", "the kiln is shut at every one of its loading times")
}

// tunnel checks push, cars and fleet together.
func (c *checker) tunnel(path string, k *Kiln) {
	if !positive(c, path+".inside", k.Inside, "give the cars inside the kiln") ||
		!positive(c, path+".push", k.Push, "give the time between pushes") {
		return
	}
	fastest, slowest := k.Fastest, k.Slowest
	if fastest == 0 {
		fastest = k.Push * 9 / 10
	}
	if slowest == 0 {
		slowest = 2 * k.Push
	}
	check := func(key string, push des.Time) {
		if push < fastest {
			c.fault(path+"."+key, "the curve is fixed along the kiln: a faster push changes the firing", "a push of %v is faster than the fastest the kiln stands (%v)", push, fastest)
		}
		if push > slowest {
			c.fault(path+"."+key, "send empty cars, or give slowest-push if the kiln stands it", "a push of %v is slower than the slowest the kiln stands (%v)", push, slowest)
		}
	}
	check("push", k.Push)
	for _, name := range sortedKeys(k.SlowPush) {
		check("slow-push."+name, k.SlowPush[name])
	}
	if k.Stretch > 0 {
		check("stretched-push", k.Stretch)
	}
	if k.Fleet > 0 && k.Kind == "tunnel" && k.Fleet <= k.Inside {
		c.fault(path+".cars", "common practice is 1.4 to 1.7 times the cars inside", "%d cars cannot feed a kiln that holds %d", k.Fleet, k.Inside)
	}
	if (k.Place > 0 || k.Draw > 0) && k.Placers == "" {
		c.fault(path+".placers", "name the crew that places and draws", "placing takes time but nobody does it")
	}
	c.breakdowns(path+".stops", k.Stops)
	if w := k.Wrecks; w != nil {
		c.lawAbove(path+".wrecks.between", w.Between)
	}
	if k.Ahead < 1 {
		c.fault(path+".cars-ahead", "let at least one loaded car wait", "no car may be loaded ahead of the kiln")
	}
}

// quartz is the temperature of the alpha-beta inversion of quartz, degC, at
// which a sudden change of volume cracks ware that is heated or cooled fast.
const quartz = 573

// curve checks a firing curve for plausibility: it starts cold, has a peak in
// the range common for sanitaryware, ends cool, passes the quartz inversion
// slowly when cooling, and takes about the time the kiln gives it.
func (c *checker) curve(path string, k *Kiln) {
	if len(k.Curve) == 0 {
		return
	}
	at, peak, total := quantity.Temperature(20), quantity.Temperature(20), des.Time(0)
	for _, s := range k.Curve {
		if s.Rate <= 0 && s.Hold <= 0 {
			c.fault(path, "give a rate in degC/h, or a hold", "a segment to %v takes no time", s.To)
			return
		}
		if s.Rate > 0 {
			hours := math.Abs(float64(s.To-at)) / float64(s.Rate)
			total += des.Time(hours * float64(des.Hour))
			falls := at > s.To
			if low, high := min(at, s.To), max(at, s.To); falls && low < quartz && high > quartz && s.Rate > 150 {
				c.warn(path, "cool at 60 degC/h or less there (common practice)", "the curve cools through the quartz inversion at %d degC at %v: ware may dunt", quartz, s.Rate)
			}
		}
		at, peak, total = s.To, max(peak, s.To), total+s.Hold
	}
	if peak < 1000 || peak > 1350 {
		c.warn(path, "about 1200 degC is common practice for vitreous china", "a peak of %v is outside what sanitaryware is fired at", peak)
	}
	if at > 200 {
		c.warn(path, "cool below about 80 degC before drawing", "the curve ends at %v", at)
	}
	given := des.Time(k.Inside) * k.Push
	if k.Kind == "shuttle" {
		given = k.Firing + k.Cooling
	}
	if diff := math.Abs(float64(total-given)) / float64(given); diff > 0.15 {
		c.warn(path, "check rates against cars inside and push, or firing and cooling", "the curve takes %v but the kiln gives it %v", total, given)
	}
}
