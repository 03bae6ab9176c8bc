// Package web is the application in the browser: the wash bay and the office.
//
// A page is a row of a table of routes (routes.go), which says who may ask for
// it; a handler, which gets a viewer and, through it, the records that the
// viewer may see; a template of the page's name; and messages in each of the
// languages. Whatever a handler returns as an error becomes a page of its own
// (fault.go). Nothing is kept in the server but what can be worked out again.
package web
