package report

// Caution stands at the foot of every answer. What to build and how to run it
// is decided by people who carry the responsibility for it.
const Caution = "An estimate for planning, from a model of your figures. It is not a design, " +
	"a safety assessment or a promise of output. It does not model gas, fire, carbon monoxide, dust, " +
	"heat or lifting. Have kilns, dryers, gas, electrics and ventilation designed, altered and signed " +
	"off by qualified or licensed people under your local codes. Where this report and a code, a " +
	"maker's instruction or a competent person differ, follow them."
