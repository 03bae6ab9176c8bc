package exposure

// Clock is something that a patch's life can be counted in.
type Clock string

// The clocks. Months is the calendar's; the others run as fast as the load of
// the patch adds up.
const (
	Months     Clock = "months"
	UV         Clock = "uv"          // ultraviolet dose on the patch's panel
	FreezeThaw Clock = "freeze_thaw" // days that pass 0 °C
	Salt       Clock = "salt"        // days of the salt season
	Heat       Clock = "heat"        // days at the reference temperature that would age as much
	Washes     Clock = "washes"      // known maintenance and decontamination washes
	Km         Clock = "km"          // driven
)

// Clocks lists the clocks, the calendar's first.
func Clocks() []Clock { return []Clock{Months, UV, FreezeThaw, Salt, Heat, Washes, Km} }

// Unit names what the clock counts.
func (c Clock) Unit() string {
	switch c {
	case Months:
		return "months"
	case UV:
		return "MJ/m²"
	case FreezeThaw:
		return "freeze-thaw days"
	case Salt:
		return "salt-season days"
	case Heat:
		return "heat-weighted days"
	case Washes:
		return "washes"
	case Km:
		return "km"
	}
	return string(c)
}

// weather reports whether the clock's load is the site's.
func (c Clock) weather() bool { return c == UV || c == FreezeThaw || c == Salt || c == Heat }
