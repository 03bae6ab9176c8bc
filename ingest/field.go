package ingest

import (
	"strconv"
	"strings"

	"beadspan/study"
)

// field is a column together with how it is read into, and written from, a
// record of type T.
type field[T any] struct {
	Column
	// read stores a cell that is not blank; it returns what was expected
	// there if the cell cannot be read.
	read  func(record *T, text string, dates dateReader) (want string)
	write func(record *T) string
}

func textField[T any](c Column, at func(*T) *string) field[T] {
	c.Kind = Text
	return field[T]{c,
		func(r *T, text string, _ dateReader) string {
			if strings.IndexByte(text, 0) >= 0 { // workbooks can write it as _x0000_
				return "expected text without the character of code 0"
			}
			*at(r) = text
			return ""
		},
		func(r *T) string { return *at(r) },
	}
}

func wordField[T any, W ~string](c Column, allowed []W, at func(*T) *W) field[T] {
	c.Kind = Word
	byName := make(map[string]W, len(allowed))
	for _, w := range allowed {
		c.Allowed = append(c.Allowed, string(w))
		byName[folded(string(w))] = w
	}
	return field[T]{c,
		func(r *T, text string, _ dateReader) string {
			w, known := byName[folded(text)]
			if !known {
				return "expected one of " + strings.Join(c.Allowed, ", ")
			}
			*at(r) = w
			return ""
		},
		func(r *T) string { return string(*at(r)) },
	}
}

// numberField is a number that may be missing.
func numberField[T any](c Column, at func(*T) **float64) field[T] {
	c.Kind = Number
	return field[T]{c,
		func(r *T, text string, _ dateReader) string {
			x, want := parseNumber(text, c.Unit)
			if want == "" {
				*at(r) = &x
			}
			return want
		},
		func(r *T) string {
			if x := *at(r); x != nil {
				return formatNumber(*x)
			}
			return ""
		},
	}
}

// requiredNumberField is a number that is always there.
func requiredNumberField[T any](c Column, at func(*T) *float64) field[T] {
	c.Kind, c.Required = Number, true
	return field[T]{c,
		func(r *T, text string, _ dateReader) (want string) {
			*at(r), want = parseNumber(text, c.Unit)
			return want
		},
		func(r *T) string { return formatNumber(*at(r)) },
	}
}

// thousandsField is a number that people write with a thousands separator
// when it is large. "12.000" and "12,000" could be twelve or twelve thousand:
// such a number is refused.
func thousandsField[T any](c Column, at func(*T) **float64) field[T] {
	f := numberField(c, at)
	read, write := f.read, f.write
	f.read = func(r *T, text string, dates dateReader) string {
		if looksLikeThousands(text) {
			return "it could mean thousands or thousandths: expected a number like 12000 or 12.5, without a thousands separator"
		}
		return read(r, text, dates)
	}
	f.write = func(r *T) string {
		text := write(r)
		if looksLikeThousands(text) {
			text += "0"
		}
		return text
	}
	return f
}

func wholeField[T any](c Column, at func(*T) **int) field[T] {
	c.Kind = Whole
	return field[T]{c,
		func(r *T, text string, _ dateReader) string {
			n, want := parseWhole(text)
			if want == "" {
				*at(r) = &n
			}
			return want
		},
		func(r *T) string {
			if n := *at(r); n != nil {
				return strconv.Itoa(*n)
			}
			return ""
		},
	}
}

func twelveField[T any](c Column, at func(*T) *[]float64) field[T] {
	c.Kind = Twelve
	return field[T]{c,
		func(r *T, text string, _ dateReader) string {
			numbers, want := parseTwelve(text, c.Unit)
			*at(r) = numbers
			return want
		},
		func(r *T) string {
			var words []string
			for _, x := range *at(r) {
				words = append(words, formatNumber(x))
			}
			return strings.Join(words, " ")
		},
	}
}

func dateField[T any](c Column, at func(*T) *study.Day) field[T] {
	c.Kind, c.Required = Date, true
	return field[T]{c,
		func(r *T, text string, dates dateReader) (want string) {
			*at(r), want = dates.parse(text)
			return want
		},
		func(r *T) string { return at(r).String() },
	}
}

// yesNoField also takes the truth values that spreadsheets write.
func yesNoField[T any](c Column, at func(*T) *bool) field[T] {
	c.Kind, c.Allowed = Word, []string{"yes", "no"}
	return field[T]{c,
		func(r *T, text string, _ dateReader) string {
			switch folded(text) {
			case "yes", "true", "1":
				*at(r) = true
			case "no", "false", "0":
				*at(r) = false
			default:
				return "expected yes or no"
			}
			return ""
		},
		func(r *T) string {
			if *at(r) {
				return "yes"
			}
			return "no"
		},
	}
}
