package plant

import "strings"

// words are the measures that people decide by, as a sentence calls them.
var words = map[string]string{
	"packed.total":          "output of good pieces",
	"packed.<ware>":         "output of good <ware>",
	"seconds.<ware>":        "output of <ware> seconds",
	"cast.total":            "number of casts",
	"cast.<ware>":           "number of <ware> casts",
	"yield.total":           "yield",
	"yield.<ware>":          "yield of <ware>",
	"wip.total":             "stock in the works",
	"lead_time.mean":        "mean lead time",
	"lead_time.p50":         "median lead time",
	"lead_time.p80":         "lead time of 80 in 100 pieces",
	"lead_time.p95":         "lead time of 95 in 100 pieces",
	"window.late":           "share punched late",
	"window.late.<ware>":    "share of <ware> punched late",
	"window.too_dry":        "loss of pieces too dry to punch",
	"window.too_dry.<ware>": "loss of <ware> too dry to punch",
	"refires.total":         "number of refires",
	"firings.per_good":      "number of firings for a good piece",
	"escaped":               "number of faults that no test finds",
	"fuel.week":             "fuel",
	"energy.per_good":       "fuel for a good piece",
	"co2.per_good":          "CO2 for a good piece",
	"cost.per_good":         "cost of a good piece",
	"contribution":          "contribution",
}

// InWords is how a sentence calls a measure, as in "the cost of a good piece is
// lower": of those that nobody is likely to decide by, their name.
func InWords(name string) string {
	if text, ok := words[name]; ok {
		return text
	}
	stem, ware := name, ""
	if k := strings.LastIndex(name, "."); k >= 0 {
		stem, ware = name[:k]+".<ware>", name[k+1:]
	}
	if text, ok := words[stem]; ok {
		return strings.ReplaceAll(text, "<ware>", ware)
	}
	return name
}
