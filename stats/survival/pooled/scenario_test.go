package pooled

import (
	"fmt"
	"math"
	"math/rand/v2"

	"beadspan/stats/survival"
)

// scenario is a study of coatings in climates drawn from a population of
// climates: all invented.
type scenario struct {
	places, clusters  int     // clusters in each place
	placeSD, cellSD   float64 // of log life, between places and between cells
	clusterSD, lifeSD float64
	medians           []float64 // days, of each kind in a middling place
	between           float64   // mean days between visits
	follow            float64   // days for which a cluster is followed at most
	slope             float64   // of log life on a load that places have, of SD 1
}

// demoLike has four places, as much difference between them as between the
// climates of the demo's scenario, and its vehicles and visits.
func demoLike() scenario {
	return scenario{places: 4, clusters: 40, placeSD: 0.27, cellSD: 0.06, clusterSD: 0.17, lifeSD: 0.2,
		medians: []float64{300, 450, 600}, between: 80, follow: 800}
}

// study is one draw of the scenario, with its truth.
type studyDrawn struct {
	data  Data
	truth map[[2]string]float64 // log median of each cell
	fresh []float64             // of each kind, in a place that isn't in the study
	loads map[string]float64
	next  float64 // load of that place
}

func (s scenario) draw(seed uint64) studyDrawn {
	r := rand.New(rand.NewPCG(seed, 77))
	d := studyDrawn{data: Data{Covariates: []string{"level"}}, truth: map[[2]string]float64{}, loads: map[string]float64{}}
	cluster := 0
	for p := range s.places + 1 {
		load := r.NormFloat64()
		u := s.placeSD*r.NormFloat64() + s.slope*load
		place := fmt.Sprintf("place %02d", p)
		var own []float64
		for k, median := range s.medians {
			own = append(own, math.Log(median)+u+s.cellSD*r.NormFloat64())
			d.truth[[2]string{kindName(k), place}] = own[k]
		}
		if p == s.places {
			d.fresh, d.next = own, load
			break
		}
		d.loads[place] = load
		for range s.clusters {
			cluster++
			s.cluster(r, &d.data, place, own, cluster)
		}
	}
	return d
}

func kindName(k int) string { return string(rune('A' + k)) }

// cluster draws a vehicle with one to all kinds, seen at visits.
func (s scenario) cluster(r *rand.Rand, d *Data, place string, medians []float64, number int) {
	shared := s.clusterSD * r.NormFloat64()
	leaves := s.follow * (0.5 + 0.5*r.Float64())
	var visits []float64
	for day := s.between * (0.3 + 0.7*r.Float64()); day < leaves; day += s.between * (0.5 + r.Float64()) {
		visits = append(visits, math.Round(day))
	}
	kinds := r.Perm(len(medians))[:1+r.IntN(len(medians))]
	for _, k := range kinds {
		level := float64(r.IntN(2))
		life := math.Exp(medians[k] - 0.14*(level-0.5) + shared + s.lifeSD*r.NormFloat64())
		span := survival.Span{Upper: math.Inf(1), Cluster: number}
		for _, day := range visits {
			if day >= life {
				span.Upper = day
				break
			}
			span.Lower = day
		}
		d.Lives = append(d.Lives, Life{Span: span, Kind: kindName(k), Place: place, Covariates: []float64{level}})
	}
}
