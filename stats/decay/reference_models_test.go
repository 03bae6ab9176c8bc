package decay

import "math"

// referenceModels are the curves of the reference cases by the formula that
// the cases write, with derivatives worked out by hand.
var referenceModels = map[string]func(b []float64, x float64, g []float64) float64{
	"b1+(b2-b1)*exp(-b3*x)": func(b []float64, x float64, g []float64) float64 {
		e := math.Exp(-b[2] * x)
		g[0], g[1], g[2] = 1-e, e, -(b[1]-b[0])*x*e
		return b[0] + (b[1]-b[0])*e
	},
	"b1*exp(-b2*x)": func(b []float64, x float64, g []float64) float64 {
		e := math.Exp(-b[1] * x)
		g[0], g[1] = e, -b[0]*x*e
		return b[0] * e
	},
	"b1-b2*x": func(b []float64, x float64, g []float64) float64 {
		g[0], g[1] = 1, -x
		return b[0] - b[1]*x
	},
	"b1*exp(-(x/b2)^b3)": func(b []float64, x float64, g []float64) float64 {
		u := math.Pow(x/b[1], b[2])
		e := math.Exp(-u)
		g[0], g[1], g[2] = e, b[0]*e*u*b[2]/b[1], -b[0]*e*u*math.Log(x/b[1])
		return b[0] * e
	},
	"b1*(1+x/b2)^(-b3)": func(b []float64, x float64, g []float64) float64 {
		base := 1 + x/b[1]
		u := math.Pow(base, -b[2])
		g[0], g[1], g[2] = u, b[0]*b[2]*u/base*x/(b[1]*b[1]), -b[0]*u*math.Log(base)
		return b[0] * u
	},
	"b1/(1+exp((x-b2)/b3))": func(b []float64, x float64, g []float64) float64 {
		z := (x - b[1]) / b[2]
		s := 1 / (1 + math.Exp(z))
		fall := b[0] * s * (1 - s) / b[2]
		g[0], g[1], g[2] = s, fall, fall*z
		return b[0] * s
	},
	"b1*(b2+x)^(-1/b3)": func(b []float64, x float64, g []float64) float64 {
		base := b[1] + x
		u := math.Pow(base, -1/b[2])
		g[0], g[1], g[2] = u, -b[0]*u/(b[2]*base), b[0]*u*math.Log(base)/(b[2]*b[2])
		return b[0] * u
	},
	"b1*(1-exp(-b2*x))": func(b []float64, x float64, g []float64) float64 {
		rise := -math.Expm1(-b[1] * x)
		g[0], g[1] = rise, b[0]*x*math.Exp(-b[1]*x)
		return b[0] * rise
	},
	"b1*(1-(1+b2*x/2)^(-2))": func(b []float64, x float64, g []float64) float64 {
		u := 1 + b[1]*x/2
		rise := 1 - 1/(u*u)
		g[0], g[1] = rise, b[0]*x/(u*u*u)
		return b[0] * rise
	},
	"exp(-b1*x)/(b2+b3*x)": func(b []float64, x float64, g []float64) float64 {
		below := b[1] + b[2]*x
		y := math.Exp(-b[0]*x) / below
		g[0], g[1], g[2] = -x*y, -y/below, -x*y/below
		return y
	},
	"b1*x^b2": func(b []float64, x float64, g []float64) float64 {
		u := math.Pow(x, b[1])
		g[0], g[1] = u, b[0]*u*math.Log(x)
		return b[0] * u
	},
	"(b1/b2)*exp(-0.5*((x-b3)/b2)^2)": func(b []float64, x float64, g []float64) float64 {
		z := (x - b[2]) / b[1]
		e := math.Exp(-z*z/2) / b[1]
		y := b[0] * e
		g[0], g[1], g[2] = e, y*(z*z-1)/b[1], y*z/b[1]
		return y
	},
	"(b1+b2*x+b3*x^2+b4*x^3)/(1+b5*x+b6*x^2+b7*x^3)": func(b []float64, x float64, g []float64) float64 {
		above := b[0] + x*(b[1]+x*(b[2]+x*b[3]))
		below := 1 + x*(b[4]+x*(b[5]+x*b[6]))
		y := above / below
		for k, power := range []float64{1, x, x * x, x * x * x} {
			g[k] = power / below
			if k > 0 {
				g[3+k] = -y * power / below
			}
		}
		return y
	},
	"b1*exp(-b2*x)+b3*exp(-b4*x)+b5*exp(-b6*x)": func(b []float64, x float64, g []float64) float64 {
		y := 0.0
		for k := 0; k < 6; k += 2 {
			e := math.Exp(-b[k+1] * x)
			g[k], g[k+1] = e, -b[k]*x*e
			y += b[k] * e
		}
		return y
	},
	"b1*(x^2+x*b2)/(x^2+x*b3+b4)": func(b []float64, x float64, g []float64) float64 {
		above, below := x*x+x*b[1], x*x+x*b[2]+b[3]
		y := b[0] * above / below
		g[0], g[1], g[2], g[3] = above/below, b[0]*x/below, -y*x/below, -y/below
		return y
	},
	"b1*exp(b2/(x+b3))": func(b []float64, x float64, g []float64) float64 {
		e := math.Exp(b[1] / (x + b[2]))
		y := b[0] * e
		g[0], g[1], g[2] = e, y/(x+b[2]), -y*b[1]/((x+b[2])*(x+b[2]))
		return y
	},
	"b1/(1+exp(b2-b3*x))": func(b []float64, x float64, g []float64) float64 {
		s := 1 / (1 + math.Exp(b[1]-b[2]*x))
		g[0], g[1], g[2] = s, -b[0]*s*(1-s), b[0]*s*(1-s)*x
		return b[0] * s
	},
	"b1/((1+exp(b2-b3*x))^(1/b4))": func(b []float64, x float64, g []float64) float64 {
		e := math.Exp(b[1] - b[2]*x)
		u := math.Pow(1+e, -1/b[3])
		bend := b[0] * u * e / (1 + e) / b[3]
		g[0], g[1], g[2], g[3] = u, -bend, bend*x, b[0]*u*math.Log1p(e)/(b[3]*b[3])
		return b[0] * u
	},
}
