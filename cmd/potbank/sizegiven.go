package main

import (
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/scenario"
)

// sizeOfFiles makes the question of a scenario, its options and the flags: one
// future, in which all stays as it is.
func (p *program) sizeOfFiles(c *cobra.Command, paths []string, f *sizeFlags) (q decision.SizeQuestion, name experiment.Scenario, err error) {
	if len(paths) < 2 {
		return q, name, exitf(misused, "%s is a scenario and needs an option to hold against it; hint: potbank %s", paths[0], c.Use)
	}
	if f.demand == "" {
		return q, name, exitf(misused, "size wants --demand with a scenario; hint: give the good pieces wanted a week, e.g. --demand 7200")
	}
	all := compareFlags{studyFlags: f.studyFlags}
	works, err := all.loadAll(p, c, paths)
	if err != nil {
		return q, name, err
	}
	currency := works[0].file.Works.Currency
	section, service, err := f.section(currency, works[0].file.Works)
	if err != nil {
		return q, name, err
	}
	names := namesOf(paths)
	options, err := f.outlays(names, currency)
	if err != nil {
		return q, name, err
	}
	q = decision.SizeQuestion{
		Currency: currency, Plant: func(o, _ int) *plant.Plant { return works[o].plant },
		Terms:   decision.SizeTermsOf(section, service),
		Futures: []decision.SizeFuture{{Name: "as it is", Weight: 1, Demand: decision.DemandOf(section.Demand, works[0].file.Works, 1)}},
	}
	for i, o := range options {
		so := decision.SizeOption{Name: o.Name, Outlay: decision.OutlayOf(o)}
		if i > 0 {
			for _, d := range scenario.Differences(works[0].file, works[i].file) {
				so.Changes = append(so.Changes, experiment.Change(d))
			}
		}
		q.Options = append(q.Options, so)
	}
	return q, works[0].scenario(), nil
}

// section reads the flags that say what is wanted and on what terms.
func (f *sizeFlags) section(currency string, w *plant.Works) (*scenario.SizeSection, float64, error) {
	s := &scenario.SizeSection{Weeks: f.year}
	var err error
	if s.Demand, err = demandGiven(f.demand, w); err != nil {
		return nil, 0, err
	}
	period, err := quantity.ParseTime("--period", f.period)
	if err != nil {
		return nil, 0, exitf(misused, "%s", err)
	}
	if s.Period = des.Time(period); s.Period < des.Week || s.Period%des.Week != 0 {
		return nil, 0, exitf(misused, "--period is %s; hint: give whole weeks, such as \"4 wk\"", f.period)
	}
	if s.Rate, err = quantity.ParseShare("--interest", f.interest); err != nil {
		return nil, 0, exitf(misused, "%s", err)
	}
	service, err := quantity.ParseShare("--service", f.service)
	if err != nil || service == 0 {
		return nil, 0, exitf(misused, "--service is %q; hint: give a probability such as \"95 %%\"", f.service)
	}
	if f.year < 1 || f.year > 53 {
		return nil, 0, exitf(misused, "--year is %d; hint: give the weeks worked, such as 50", f.year)
	}
	for _, m := range []struct {
		flag, text string
		to         *quantity.Money
	}{{"--worth", f.worth, &s.Worth}, {"--matters", f.matters, &s.Matters}} {
		if m.text == "" {
			continue
		}
		if *m.to, _, err = quantity.ParseMoney(m.flag, m.text, currency); err != nil {
			return nil, 0, exitf(misused, "%s", err)
		}
	}
	return s, float64(service), nil
}

// demandGiven reads a demand: one number, or numbers by ware.
func demandGiven(text string, w *plant.Works) (plant.PerWare[int], error) {
	hint := `hint: write pieces a week, "7200" or "pan=2880,basin=1700"`
	demand := plant.PerWare[int]{}
	for _, part := range strings.Split(text, ",") {
		ware, number, named := strings.Cut(part, "=")
		if !named {
			ware, number = "", part
		}
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if ware = strings.TrimSpace(ware); err != nil || n < 1 || !named && text != part {
			return nil, exitf(misused, "--demand %q; %s", text, hint)
		}
		known := ware == ""
		for i := range w.Ware {
			known = known || w.Ware[i].Name == ware
		}
		if !known {
			return nil, exitf(misused, "--demand names %q, which is no ware of this works; %s", ware, hint)
		}
		demand[ware] = n
	}
	return demand, nil
}

// outlays reads what each option takes.
func (f *sizeFlags) outlays(names []string, currency string) ([]scenario.Option, error) {
	const life = 15 * 365 * des.Day
	var options []scenario.Option
	for _, n := range names {
		options = append(options, scenario.Option{Name: n, Life: life})
	}
	for _, g := range []struct {
		flag  string
		texts []string
		to    func(o *scenario.Option) *quantity.Money
	}{
		{"--capital", f.capital, func(o *scenario.Option) *quantity.Money { return &o.Capital }},
		{"--upkeep", f.upkeep, func(o *scenario.Option) *quantity.Money { return &o.Upkeep }},
		{"--residual", f.residual, func(o *scenario.Option) *quantity.Money { return &o.Rest }},
	} {
		for _, text := range g.texts {
			o, amount, err := optionNamed(options, g.flag, text)
			if err != nil {
				return nil, err
			}
			if *g.to(o), _, err = quantity.ParseMoney(g.flag, amount, currency); err != nil {
				return nil, exitf(misused, "%s", err)
			}
		}
	}
	for _, text := range f.life {
		o, span, err := optionNamed(options, "--life", text)
		if err != nil {
			return nil, err
		}
		ms, err := quantity.ParseTime("--life", span)
		if err != nil || ms <= 0 {
			return nil, exitf(misused, "--life %q; hint: write such as \"%s = 15 yr\"", text, o.Name)
		}
		o.Life = des.Time(ms)
	}
	return options, nil
}

// optionNamed finds the option that NAME = VALUE speaks of.
func optionNamed(options []scenario.Option, flag, text string) (*scenario.Option, string, error) {
	name, value, ok := strings.Cut(text, "=")
	if !ok {
		return nil, "", exitf(misused, "%s %q; hint: write the option, = and a value, e.g. \"%s = ...\"", flag, text, options[len(options)-1].Name)
	}
	var names []string
	for i := range options {
		if options[i].Name == strings.TrimSpace(name) {
			return &options[i], strings.TrimSpace(value), nil
		}
		names = append(names, options[i].Name)
	}
	return nil, "", exitf(misused, "%s names %q; hint: the options are %s", flag, strings.TrimSpace(name), strings.Join(names, ", "))
}
