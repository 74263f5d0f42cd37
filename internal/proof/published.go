package proof

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
)

// The published values, the data they refer to, and the works they are run on.
//
//go:embed checks/*.csv checks/*.txt works/*.yaml
var files embed.FS

// Published is one row of the list of reference values, as it stands there.
type Published struct {
	ID        string // letter of the topic and a number; ids have gaps
	Topic     string
	Inputs    string
	Quantity  string
	Expected  string // values in the order of inputs and quantity
	Tolerance string
	Units     string
	Source    string
	Known     string // how the value is known: source read, from memory, computed
}

// published reads the list.
func published() ([]Published, error) {
	data, err := files.Open("checks/checks.csv")
	if err != nil {
		return nil, err
	}
	defer data.Close()
	lines := csv.NewReader(data)
	lines.FieldsPerRecord = 9
	rows, err := lines.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("checks.csv: %w", err)
	}
	var list []Published
	for _, r := range rows[1:] {
		list = append(list, Published{r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7], r[8]})
	}
	return list, nil
}

// dataFile is the text of a file beside the list.
func dataFile(name string) string {
	data, err := fs.ReadFile(files, "checks/"+name)
	if err != nil {
		panic(err)
	}
	return string(data)
}

// number reads a published number: decimal, a fraction such as 22/39, or a
// percentage.
func number(text string) float64 {
	if share, ok := strings.CutSuffix(text, "%"); ok {
		return number(share) / 100
	}
	over, under, fraction := strings.Cut(text, "/")
	x, err := strconv.ParseFloat(strings.ReplaceAll(over, ",", ""), 64)
	if err != nil {
		panic(err)
	}
	if !fraction {
		return x
	}
	return x / number(under)
}

// rounding is half a unit of the last digit printed.
func rounding(text string) float64 {
	_, decimals, _ := strings.Cut(text, ".")
	half := 0.5
	for range decimals {
		half /= 10
	}
	return half
}
