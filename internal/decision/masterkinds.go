package decision

// faultKind is what a kind of fault is usually like.
type faultKind struct {
	shows float64
	finds [5]float64 // by place: first-off, leather-hard, white, fired, test
}

// faultKinds is what is taken where a question does not say how much of a fault
// shows and what a gate finds of it. Common practice, from memory: sizes and
// holes can be gauged before the fire only where a gauge allows for shrinkage,
// a waterway shows in nothing but the flush test, a weak wall cracks in drying
// or in the fire, surfaces are seen by eye, and warp comes with the fire.
var faultKinds = map[string]faultKind{
	"size":      {1, [5]float64{.65, .30, .45, .70, .40}},
	"hole":      {1, [5]float64{.65, .40, .45, .70, .50}},
	"waterway":  {1, [5]float64{.20, 0, 0, 0, .55}},
	"weak wall": {.30, [5]float64{.30, .20, .70, .80, .60}},
	"surface":   {.75, [5]float64{.70, .60, .70, .90, .20}},
	"warp":      {.50, [5]float64{0, 0, 0, .70, .30}},
}
