package web

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strconv"

	"beadspan/reports"
	"beadspan/study"
)

func (s *Server) dueRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/due", needs: reading, do: s.showDue},
		{pattern: "GET /studies/{study}/due.csv", needs: reading, do: s.sendDue},
	}
}

// daysAhead is how far ahead the list of what is due may look.
func daysAhead() []int { return []int{0, 14, 30, 90} }

// dueFigure finds out what falls due up to so many days from now.
func dueFigure(ahead int) figure[*reports.DueList] {
	return figure[*reports.DueList]{fmt.Sprintf("due in %d days", ahead), func(ctx context.Context, in figureInput) (*reports.DueList, error) {
		salt, notes, err := reports.SaltSeasons(*in.fleet)
		if err != nil {
			return nil, err
		}
		list := reports.NewDue(in.study, *in.fleet, reports.DueOptions{
			Horizon: study.Horizon{On: in.today, Ahead: ahead}, Salt: salt, Notes: notes,
		})
		return list, ctx.Err()
	}}
}

// dueQuery is what part of the list is asked for.
type dueQuery struct {
	Ahead int
	Site  string        // code; empty for all
	Kind  study.DueKind // empty for all
	From  int           // rows before it are on earlier pages
}

func readDueQuery(r *http.Request) dueQuery {
	form := r.URL.Query()
	q := dueQuery{Site: form.Get("site"), Kind: study.DueKind(form.Get("kind"))}
	if ahead, err := strconv.Atoi(form.Get("ahead")); err == nil && slices.Contains(daysAhead(), ahead) {
		q.Ahead = ahead
	}
	if from, err := strconv.Atoi(form.Get("from")); err == nil && from > 0 {
		q.From = from
	}
	return q
}

// holds reports whether a row is asked for.
func (q dueQuery) holds(row reports.DueRow) bool {
	return (q.Site == "" || row.Site.Code == q.Site) &&
		(q.Kind == "" || slices.ContainsFunc(row.Due, func(d study.Due) bool { return d.Kind == q.Kind }))
}

// At is the address of the list as asked for, from a row on.
func (q dueQuery) At(from int) string {
	return fmt.Sprintf("?ahead=%d&site=%s&kind=%s&from=%d", q.Ahead, q.Site, q.Kind, from)
}

// duePage is a page of the list.
type duePage struct {
	Query  dueQuery
	Aheads []int
	Sites  []string // codes, of what the viewer may see
	Kinds  []study.DueKind
	List   found[*reports.DueList] // what the viewer may see of it; nil while it isn't ready
	Rows   []reports.DueRow        // those on the page
	Next   int                     // row that the next page begins with; 0: this is the last
}

// dueOnPage is how many vehicles a page lists.
const dueOnPage = 100

func (s *Server) showDue(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := duePage{Query: readDueQuery(r), Aheads: daysAhead(), Kinds: study.DueKinds()}
	var err error
	if page.List, err = lookUp(v.records, dueFigure(page.Query.Ahead), s.today()); err != nil {
		return err
	}
	if page.List.Ready {
		page.choose(v, dueOnPage)
	}
	return s.render(w, v, http.StatusOK, "due.html", v.say.text("due.title"), page)
}

// choose fills in the rows of the page, of those that the viewer may see.
func (p *duePage) choose(v *viewer, onPage int) {
	p.Sites = v.records.sitesOfDue(p.List.Value)
	p.List.Value = v.records.dueOf(p.List.Value, p.Query)
	rows := p.List.Value.Rows
	from := min(p.Query.From, len(rows))
	to := min(from+onPage, len(rows))
	p.Rows = rows[from:to]
	if to < len(rows) {
		p.Next = to
	}
}

// coversDue reports whether the viewer may see a row.
func (x *records) coversDue(row reports.DueRow) bool { return x.covers(row.Vehicle) }

// dueOf is what is asked for of a list that the viewer may see.
func (x *records) dueOf(list *reports.DueList, q dueQuery) *reports.DueList {
	if x.scope.EveryShop && q.Site == "" && q.Kind == "" {
		return list
	}
	return list.Where(func(row reports.DueRow) bool { return x.coversDue(row) && q.holds(row) })
}

// sitesOfDue are the codes of the sites of what the viewer may see.
func (x *records) sitesOfDue(list *reports.DueList) []string {
	codes := map[string]bool{}
	for _, row := range list.Rows {
		if x.coversDue(row) {
			codes[row.Site.Code] = true
		}
	}
	return slices.Sorted(maps.Keys(codes))
}

// sendDue sends the list as a file, for a calendar or a spreadsheet.
func (s *Server) sendDue(w http.ResponseWriter, r *http.Request, v *viewer) error {
	q := readDueQuery(r)
	list, err := lookUp(v.records, dueFigure(q.Ahead), s.today())
	if err != nil {
		return err
	}
	if !list.Fresh {
		return errNotReady
	}
	asFile(w, "text/csv; charset=utf-8", v.study.Code+"-due.csv")
	return v.records.dueOf(list.Value, q).WriteCSV(w)
}
