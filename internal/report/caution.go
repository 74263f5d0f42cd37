package report

// Caution stands at the foot of every answer. What to build and how to run it
// is decided by people who carry the responsibility for it.
const Caution = "An estimate for planning, from a model of your figures. It is not a design, " +
	"a safety assessment or a promise of output. It does not model gas, fire, carbon monoxide, dust, " +
	"heat or lifting. Have kilns, dryers, gas, electrics and ventilation designed, altered and signed " +
	"off by qualified or licensed people under your local codes. Where this report and a code, a " +
	"maker's instruction or a competent person differ, follow them."

// KilnCaution stands beside every answer about a kiln to be built, lengthened or
// pushed otherwise.
const KilnCaution = "A longer tunnel, a faster push and another kiln change burners, gas train, draught, " +
	"flue and exhaust. Have them designed, purged, lit and signed off by licensed gas and kiln people, with " +
	"flame failure and carbon monoxide alarms, and ask early about the emissions permit, the gas supply and the " +
	"floor load. Only trained kiln staff light or enter a kiln; ware and cars come out hot, and dunting ware can " +
	"burst. More cars and weekend pushes need hands on nights and weekends within the law on hours and rest."
