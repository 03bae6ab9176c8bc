// Package cox fits the proportional hazards model of Cox: how covariates
// multiply the rate at which lives end, whatever that rate is over time.
//
//	λ(t | x) = λ₀(t) exp(xᵀβ)
//
// Fit takes rows (Start, Stop], each with covariates that hold throughout it:
// one row a life, or several where covariates change or observation is broken.
// Rows may have weights, belong to strata with a λ₀ each, and share clusters,
// such as the patches of one vehicle.
//
// Ends must be known to the point or not reached. Lives seen only at visits
// are known to intervals; their visit dates taken as ends give coefficients
// that are usable only where visits are close together compared with lives.
//
// A coefficient that the data do not determine is a result, not an error:
// Redundant where other covariates already say all that it could, RunsOff where
// the likelihood rises for ever as it grows. Model.Notes says so in words.
//
// The package knows nothing of coatings, files or databases.
package cox
