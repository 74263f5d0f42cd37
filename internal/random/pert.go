package random

// pertWeight is how much more the most likely value counts than each end in the
// PERT mean. Source: D. G. Malcolm, J. H. Roseboom, C. E. Clark, W. Fazar,
// "Application of a technique for research and development program evaluation",
// Oper. Res. 7, 1959; the beta exponents follow D. Vose, Risk Analysis.
const pertWeight = 4

// PERT returns the smooth law of a guess in three numbers: a beta law between
// the least and the greatest value with mean (least + 4 likely + greatest)/6.
// It strays to its ends less than [Triangular]. Three equal numbers give a
// constant.
func PERT(least, likely, greatest float64) (Law, error) {
	if err := threePoints("pert", least, likely, greatest); err != nil {
		return nil, err
	}
	if least == greatest {
		return constant{likely}, nil
	}
	alpha, beta := pertExponents(least, likely, greatest)
	spelling := spell("pert", parameter{"least", least}, parameter{"likely", likely},
		parameter{"greatest", greatest})
	return newBeta(alpha, beta, least, greatest, spelling), nil
}

// pertExponents returns the exponents of the beta law behind a PERT guess.
func pertExponents(least, likely, greatest float64) (alpha, beta float64) {
	width := greatest - least
	return 1 + pertWeight*(likely-least)/width, 1 + pertWeight*(greatest-likely)/width
}
