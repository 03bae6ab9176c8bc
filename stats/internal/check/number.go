package check

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
)

// Number is a number of a reference case. JSON has no word for what it needs
// beside plain numbers: null reads as NaN (not defined or not reached), the
// strings "Inf" and "-Inf" as the infinities.
type Number float64

// UnmarshalJSON reads a number, null, "Inf" or "-Inf".
func (n *Number) UnmarshalJSON(text []byte) error {
	switch string(text) {
	case "null":
		*n = Number(math.NaN())
		return nil
	case `"Inf"`:
		*n = Number(math.Inf(1))
		return nil
	case `"-Inf"`:
		*n = Number(math.Inf(-1))
		return nil
	}
	x, err := strconv.ParseFloat(string(text), 64)
	if err != nil {
		return fmt.Errorf("read number of reference case: %s is neither a number, null nor an infinity", text)
	}
	*n = Number(x)
	return nil
}

var _ json.Unmarshaler = (*Number)(nil)
