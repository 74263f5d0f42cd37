package random

// constant is a value that does not vary.
type constant struct{ value float64 }

// Constant returns the law that always gives the value.
func Constant(value float64) (Law, error) {
	if err := finite("constant", parameter{"value", value}); err != nil {
		return nil, err
	}
	return constant{value}, nil
}

func (c constant) Quantile(float64) float64 { return c.value }
func (c constant) Mean() float64            { return c.value }
func (c constant) SD() float64              { return 0 }
func (c constant) Min() float64             { return c.value }
func (c constant) Max() float64             { return c.value }
func (c constant) String() string           { return "constant(" + plain(c.value) + ")" }
