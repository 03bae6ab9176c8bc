// Package agreement tells how well repeated measurements of the same things
// agree: of one rater at one time, and of several raters over time.
//
// It describes; it tests nothing. A number that the data do not define is NaN.
package agreement
