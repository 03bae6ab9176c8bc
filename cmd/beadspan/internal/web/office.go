package web

import "slices"

// officeRoutes lists the pages for the desk.
func (s *Server) officeRoutes() []route {
	return slices.Concat(
		s.dueRoutes(),
		s.coatingsRoutes(),
		s.compareRoutes(),
		s.claimsRoutes(),
		s.climatesRoutes(),
		s.studyPageRoutes(),
		s.recordsRoutes(),
	)
}
