// Package climate turns where a vehicle lives into what the weather does to a
// coating there: the Köppen-Geiger class, the ultraviolet dose on horizontal
// and vertical panels, days that freeze and thaw, the salt season and the heat.
//
// Its input is a position and monthly normals. The package brings open data
// that give class and mean temperature anywhere on land, and the positions of
// cities (OpenAtlas); it never asks a network.
//
// A monthly list starts with January in both hemispheres. A year has 365 days.
// What follows from an assumption and not from a measurement is in Assumptions,
// and whoever shows a result must be able to show them. Loads are estimates for
// comparing places; none of them says how long a coating lasts.
package climate
