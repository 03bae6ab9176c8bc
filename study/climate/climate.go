package climate

// Climate is what the weather of a place comes to in a usual year.
type Climate struct {
	Place
	Class      string `json:"class"` // empty when nothing tells it
	ClassWords string `json:"class_words"`
	ClassFrom  From   `json:"class_from"`
	// Koppen has the figures behind a class by rule; nil for any other.
	Koppen     *Koppen     `json:"koppen"`
	Neighbours []Neighbour `json:"neighbours"`
	Sky        Sky         `json:"sky"`

	Months [12]Month `json:"months"`
	Year   Year      `json:"year"`

	Assumptions Assumptions `json:"assumptions"`
	Notes       []string    `json:"notes"`
}

// From says where a class is from.
type From string

// The class by rule is the surest.
const (
	FromRule   From = "rule"   // Classify, from the normals
	FromRecord From = "record" // the place was recorded with it
	FromMap    From = "map"    // the map's cell
	FromNobody From = "unknown"
)

// Month is a month of a usual year. What the normals don't tell is nil.
type Month struct {
	Month           string   `json:"month"`
	MeanTempC       *float64 `json:"mean_temp_c"`
	PrecipitationMM *float64 `json:"precipitation_mm"`
	DewPointC       *float64 `json:"dew_point_c"`
	DaylightH       float64  `json:"daylight_h"`  // a day
	RaMJm2          float64  `json:"ra_mj_m2"`    // Extraterrestrial, of the month
	UV              *Dose    `json:"uv"`          // nil when the sky is unknown
	UVClear         Dose     `json:"uv_clear"`    // if no cloud ever came
	UVOvercast      Dose     `json:"uv_overcast"` // if the sun never came out
	FreezeThawDays  *float64 `json:"freeze_thaw_days"`
	FrostDays       *float64 `json:"frost_days"` // minimum below 0 °C
	Salt            *bool    `json:"salt"`       // belongs to the salt season
	// HeatDays are days at the reference temperature that would age a coating
	// as much as the month's warmth does, by HeatWeight.
	HeatDays *float64 `json:"heat_days"`
}

// Year sums up the months.
type Year struct {
	MeanTempC       *float64 `json:"mean_temp_c"`
	PrecipitationMM *float64 `json:"precipitation_mm"`
	RaMJm2          float64  `json:"ra_mj_m2"`
	UV              *Dose    `json:"uv"`
	UVClear         Dose     `json:"uv_clear"`
	UVOvercast      Dose     `json:"uv_overcast"`
	FreezeThawDays  *float64 `json:"freeze_thaw_days"`
	FrostDays       *float64 `json:"frost_days"`
	SaltMonths      *int     `json:"salt_months"`
	HeatDays        *float64 `json:"heat_days"`
}

// Of works out the climate of a place. It returns study.Problems when the
// place is not valid.
func Of(p Place, a Assumptions) (Climate, error) {
	if err := p.Validate().OrNil(); err != nil {
		return Climate{}, err
	}
	c := Climate{Place: p, Assumptions: a, Neighbours: []Neighbour{}}
	if err := c.classify(); err != nil {
		return Climate{}, err
	}
	c.light()
	c.weather()
	c.sumUp()
	c.Notes = c.notes()
	return c, nil
}

func (c *Climate) classify() error {
	temp, rain := c.Normals.MeanTemp(), c.Normals.PrecipitationMM
	switch {
	case temp != nil && rain != nil:
		k, err := Classify(*temp, *rain)
		if err != nil {
			return err
		}
		near, err := Neighbours(*temp, *rain)
		if err != nil {
			return err
		}
		c.Class, c.ClassFrom, c.Koppen = k.Class, FromRule, &k
		c.Neighbours = append(c.Neighbours, near...)
	case c.RecordClass != "":
		c.Class, c.ClassFrom = c.RecordClass, FromRecord
	case c.MapClass != "":
		c.Class, c.ClassFrom = c.MapClass, FromMap
	default:
		c.ClassFrom = FromNobody
	}
	c.ClassWords = Words(c.Class)
	return nil
}

// light fills in what the sun does.
func (c *Climate) light() {
	sky, clearness := c.sky(c.Assumptions)
	c.Sky = sky
	daylight, ra := daylightHours(c.LatitudeDeg), extraterrestrialMJ(c.LatitudeDeg)
	for i := range c.Months {
		m := &c.Months[i]
		m.Month = monthNames()[i]
		m.DaylightH = daylight[i] / float64(monthDays()[i])
		m.RaMJm2 = ra[i]
		d := c.dosing(i, ra[i], c.Assumptions)
		m.UVClear = d.dose(ClearSky(1, c.altitude()))
		m.UVOvercast = d.dose(Angstrom(1, 0))
		if sky != SkyUnknown {
			uv := d.dose(clearness[i])
			m.UV = &uv
		}
	}
}

// weather fills in what temperature and wet do.
func (c *Climate) weather() {
	n, a := c.Normals, c.Assumptions
	mean := n.MeanTemp()
	for i := range c.Months {
		m, days := &c.Months[i], float64(monthDays()[i])
		if n.PrecipitationMM != nil {
			m.PrecipitationMM = &n.PrecipitationMM[i]
		}
		if mean == nil {
			continue
		}
		m.MeanTempC = &mean[i]
		high, low := mean[i]+a.DailyRangeC/2, mean[i]-a.DailyRangeC/2
		if n.MaxTempC != nil {
			high, low = n.MaxTempC[i], n.MinTempC[i]
		}
		m.FreezeThawDays = new(days * FreezeThawShare(high, low, a.DailySpreadC))
		m.FrostDays = new(days * FrostShare(low, a.DailySpreadC))
		m.Salt = new(*m.FrostDays >= a.SaltFrostDays)
		m.HeatDays = new(days * HeatWeight(mean[i], a.ReferenceTempC, a.ActivationKJPerMol))
		if n.HumidityPct != nil {
			m.DewPointC = new(DewPoint(mean[i], n.HumidityPct[i]))
		}
	}
}

func (c *Climate) sumUp() {
	y := &c.Year
	if mean := c.Normals.MeanTemp(); mean != nil {
		y.MeanTempC = new(mean.Mean())
		y.SaltMonths = new(0)
	}
	for _, m := range c.Months {
		y.RaMJm2 += m.RaMJm2
		y.UVClear = y.UVClear.plus(m.UVClear)
		y.UVOvercast = y.UVOvercast.plus(m.UVOvercast)
		if m.UV != nil {
			if y.UV == nil {
				y.UV = &Dose{}
			}
			*y.UV = y.UV.plus(*m.UV)
		}
		add(&y.PrecipitationMM, m.PrecipitationMM)
		add(&y.FreezeThawDays, m.FreezeThawDays)
		add(&y.FrostDays, m.FrostDays)
		add(&y.HeatDays, m.HeatDays)
		if m.Salt != nil && *m.Salt {
			*y.SaltMonths++
		}
	}
}

// add adds x to a sum that is nil until something is known.
func add(sum **float64, x *float64) {
	switch {
	case x == nil:
	case *sum == nil:
		*sum = new(*x)
	default:
		**sum += *x
	}
}
