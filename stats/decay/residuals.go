package decay

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ResidualCheck is one question put to the residuals of a fitted curve.
type ResidualCheck struct {
	Kind ResidualKind

	// Statistic and PValue are NaN if the readings are too few to check.
	Statistic, PValue float64

	// Point is the place of the point that an Outliers check is about, from 0,
	// and −1 in the others.
	Point int

	// Note says in plain words what was found.
	Note string
}

// ResidualKind is what a check is about.
type ResidualKind string

// What is checked, with its statistic.
const (
	// Runs counts the stretches of time in which the readings lie on one side
	// of the curve, by the mean residual at each time. P is the probability of
	// so few under the exact distribution for signs in random order (Swed and
	// Eisenhart, Annals of Mathematical Statistics 14 (1943) 66–87).
	Runs ResidualKind = "runs"

	// Spread asks whether squared residuals go with the height of the curve:
	// n R² of their regression, χ² on 1 df (Breusch and Pagan, Econometrica 47
	// (1979) 1287–1294, as studentised by Koenker, Journal of Econometrics 17
	// (1981) 107–112).
	Spread ResidualKind = "spread"

	// Normality is the squared correlation W′ of the ordered residuals, each
	// divided by its own standard deviation, with normal scores (Shapiro and
	// Francia, JASA 67 (1972) 215–216; P by Royston, Statistics in Medicine 12
	// (1993) 181–184).
	Normality ResidualKind = "normality"

	// Outliers is the largest residual in units of the standard deviation that
	// it has in a fit without its point, Student's t on DF − 1; P is multiplied
	// by n, as the largest of n (Cook and Weisberg, Residuals and Influence in
	// Regression (1982) section 2.2).
	Outliers ResidualKind = "outliers"
)

// What a check needs at least, and what P it calls unusual. Judgement, no
// source.
const (
	fewResiduals = 8
	fewSpare     = 4 // points more than parameters
	unusual      = 0.05
)

// CheckResiduals asks the residuals, in this order, for Runs, Spread,
// Normality and Outliers. They are checks of single readings that are
// independent; where many share a vehicle, P is too small. A fit under another
// loss than squares is checked for Runs only: its Trust tells the rest.
func (s *Solution) CheckResiduals() []ResidualCheck {
	r := s.residuals()
	return []ResidualCheck{r.checkRuns(), r.checkSpread(), r.checkNormality(), r.checkOutliers()}
}

// residuals are those of a solution, √w (y − m).
type residuals struct {
	points []Point
	loss   Loss
	df     int

	raw    []float64
	own    []float64 // each divided by its own standard deviation s √(1 − h)
	fitted []float64
	judged bool // own is known
}

func (s *Solution) residuals() residuals {
	n := len(s.points)
	r := residuals{points: s.points, loss: s.Loss, df: s.DF, raw: make([]float64, n), fitted: make([]float64, n)}
	search := newSearch(s.model, s.points, s.settings)
	search.here.β = s.values()
	search.evaluate(search.here)
	for i, p := range s.points {
		r.raw[i] = -search.here.resid[i]
		r.fitted[i] = p.Value + search.here.resid[i]/math.Sqrt(p.Weight)
	}
	for j, p := range s.Parameters {
		if p.State == Estimated {
			search.here.free = append(search.here.free, j)
		}
	}
	inverse := search.inverseInformation()
	r.judged = s.Loss == Squares && s.Covariance != nil && inverse != nil && !search.here.exact() && n >= fewResiduals && s.DF >= fewSpare
	if r.judged {
		r.own = make([]float64, n)
		for i := range r.own {
			g := mat.NewVecDense(len(s.Parameters), search.here.jacobian[i*len(s.Parameters):(i+1)*len(s.Parameters)])
			left := 1 - mat.Inner(g, inverse, g)
			r.own[i] = r.raw[i] / (s.ResidualSD * math.Sqrt(max(left, 1e-12)))
		}
	}
	return r
}

// unknown is a check that was not made.
func (r residuals) unknown(kind ResidualKind, question string) ResidualCheck {
	note := "too few readings to check " + question
	if r.loss != Squares {
		note = fmt.Sprintf("not checked under the loss %s: %s", r.loss, question)
	}
	return ResidualCheck{Kind: kind, Statistic: math.NaN(), PValue: math.NaN(), Point: -1, Note: note}
}

func (r residuals) checkRuns() ResidualCheck {
	above := signsInTime(r.points, r.raw)
	n1, n2, runs := countRuns(above)
	if len(above) < fewResiduals || r.df < fewSpare || n1 == 0 || n2 == 0 {
		r.loss = Squares
		return r.unknown(Runs, "whether the curve follows them")
	}
	c := ResidualCheck{Kind: Runs, Statistic: float64(runs), PValue: runsBelow(n1, n2, runs), Point: -1}
	c.Note = fmt.Sprintf("readings lie above and below the curve in no unusual order (p = %.2g)", c.PValue)
	if c.PValue < unusual {
		c.Note = fmt.Sprintf("readings stay on one side of the curve for longer than chance would have them (p = %.2g): its shape is wrong, or something changed on the way", c.PValue)
	}
	return c
}

func (r residuals) checkSpread() ResidualCheck {
	height := r.fitted
	if slices.Max(height) == slices.Min(height) {
		height = make([]float64, len(r.points))
		for i, p := range r.points {
			height[i] = p.Time
		}
	}
	if !r.judged || slices.Max(height) == slices.Min(height) {
		return r.unknown(Spread, "whether they scatter as much where the curve is high as where it is low")
	}
	squares := make([]float64, len(r.raw))
	for i, e := range r.raw {
		squares[i] = e * e
	}
	correlation := stat.Correlation(height, squares, nil)
	c := ResidualCheck{Kind: Spread, Statistic: float64(len(squares)) * correlation * correlation, Point: -1}
	c.PValue = distuv.ChiSquared{K: 1}.Survival(c.Statistic)
	c.Note = fmt.Sprintf("readings scatter about as much where the curve is high as where it is low (p = %.2g)", c.PValue)
	if c.PValue < unusual {
		where := "high"
		if correlation < 0 {
			where = "low"
		}
		c.Note = fmt.Sprintf("readings scatter more where the curve is %s (p = %.2g): limits are too narrow there and too wide elsewhere", where, c.PValue)
	}
	return c
}

func (r residuals) checkNormality() ResidualCheck {
	if !r.judged {
		return r.unknown(Normality, "whether their scatter is bell-shaped")
	}
	w, p := shapiroFrancia(r.own)
	c := ResidualCheck{Kind: Normality, Statistic: w, PValue: p, Point: -1}
	c.Note = fmt.Sprintf("the scatter is bell-shaped as far as can be seen (p = %.2g)", p)
	if p < unusual {
		c.Note = fmt.Sprintf("the scatter is not bell-shaped (p = %.2g): limits for a single reading are rough, and odd readings may pull the curve", p)
	}
	return c
}

func (r residuals) checkOutliers() ResidualCheck {
	if !r.judged {
		return r.unknown(Outliers, "whether one of them is odd")
	}
	c := ResidualCheck{Kind: Outliers}
	df := float64(r.df)
	for i, own := range r.own {
		without := own * math.Sqrt((df-1)/max(df-own*own, 1e-12))
		if math.Abs(without) > math.Abs(c.Statistic) {
			c.Statistic, c.Point = without, i
		}
	}
	tail := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df - 1}.Survival(math.Abs(c.Statistic))
	c.PValue = min(1, 2*tail*float64(len(r.own)))
	c.Note = fmt.Sprintf("no reading is odd for one of %d (p = %.2g)", len(r.own), c.PValue)
	if c.PValue < unusual {
		p := r.points[c.Point]
		c.Note = fmt.Sprintf("the reading of %.4g at time %g is odd (p = %.2g): look whether it was taken and written down rightly", p.Value, p.Time, c.PValue)
	}
	return c
}
