package web

import (
	"errors"
	"net/http"
	"slices"

	"github.com/google/uuid"

	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) peopleRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/people", needs: ownership, do: s.showPeople},
		{pattern: "POST /studies/{study}/people", needs: ownership, do: s.addPerson},
		{pattern: "POST /studies/{study}/people/{account}", needs: ownership, do: s.changePerson},
	}
}

// peoplePage lists who may see the study, and has the form for one more.
type peoplePage struct {
	Members []personLine
	Shops   []study.Shop
	Roles   []study.Role
	Form    personForm
	// Link is shown once, to be handed to LinkFor.
	Link, LinkFor string
	Problems      study.Problems
	Fault         string // key of what is wrong; empty: nothing
}

// personLine is one member, and what the viewer may do about them.
type personLine struct {
	store.Member
	MayChange  bool // role and shops
	MayInvite  bool // make a link for choosing a password
	MayDisable bool
}

// newPersonLine says what the viewer may do about a member. An account may be
// of other studies too, so that only a steward may disable it or give it
// another password; an owner may hand out the link to a first one.
func newPersonLine(viewer study.Account, m store.Member) personLine {
	self := m.Account.ID == viewer.ID
	return personLine{
		Member:     m,
		MayChange:  !self && !m.Account.Steward,
		MayInvite:  !self && !m.Account.Disabled && (viewer.Steward || m.Account.PasswordHash == ""),
		MayDisable: !self && viewer.Steward,
	}
}

// Has reports whether the member looks after a shop.
func (l personLine) Has(shop study.ID) bool { return slices.Contains(l.Membership.ShopIDs, shop) }

// Waiting reports whether the member has yet to choose a password.
func (l personLine) Waiting() bool { return l.Account.PasswordHash == "" }

// personForm is the form for a role, as filled in.
type personForm struct {
	Name  string
	Role  study.Role
	Shops []string // ids; none: every shop
}

func (s *Server) showPeople(w http.ResponseWriter, r *http.Request, v *viewer) error {
	return s.renderPeople(w, r, v, http.StatusOK, peoplePage{Form: personForm{Role: study.Operator}})
}

func (s *Server) renderPeople(w http.ResponseWriter, r *http.Request, v *viewer, status int, page peoplePage) error {
	members, err := v.records.members(r.Context())
	if err != nil {
		return err
	}
	if page.Shops, err = v.records.shops(r.Context()); err != nil {
		return err
	}
	page.Roles = study.Roles()
	for _, m := range members {
		page.Members = append(page.Members, newPersonLine(v.account, m))
	}
	return s.render(w, v, status, "people.html", v.say.text("people.title"), page)
}

// rolePick is one role to pick in a form.
type rolePick struct {
	Role   study.Role
	Picked bool
}

func newRolePicks(roles []study.Role, picked study.Role) []rolePick {
	picks := make([]rolePick, len(roles))
	for i, role := range roles {
		picks[i] = rolePick{role, role == picked}
	}
	return picks
}

// readPersonForm reads role and shops.
func readPersonForm(r *http.Request) personForm {
	return personForm{study.AccountName(r.PostForm.Get("name")), study.Role(r.PostForm.Get("role")), r.PostForm["shop"]}
}

// membership is what the form asks for. A shop that isn't one is a fault of
// whoever made up the form.
func (f personForm) membership(accountID, studyID study.ID, shops []study.Shop) (study.Membership, error) {
	m := study.Membership{AccountID: accountID, StudyID: studyID, Role: f.Role, EveryShop: len(f.Shops) == 0}
	for _, text := range f.Shops {
		id, err := uuid.Parse(text)
		if err != nil || !slices.ContainsFunc(shops, func(s study.Shop) bool { return s.ID == id }) {
			return m, fault{http.StatusBadRequest, "fault.form"}
		}
		m.ShopIDs = append(m.ShopIDs, id)
	}
	return m, nil
}

// addPerson lets somebody in: an account that there is, or a new one with a
// link for choosing its password.
func (s *Server) addPerson(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	form := readPersonForm(r)
	shops, err := v.records.shops(r.Context())
	if err != nil {
		return err
	}
	a, err := s.store.AccountByName(r.Context(), form.Name)
	fresh := errors.Is(err, study.ErrNotFound)
	if fresh {
		a, err = study.Account{ID: study.NewID(), Name: form.Name}, nil
	}
	if err != nil {
		return err
	}
	if a.Steward || a.ID == v.account.ID {
		return s.renderPeople(w, r, v, http.StatusConflict, peoplePage{Form: form, Fault: "people.owner_already"})
	}
	m, err := form.membership(a.ID, v.study.ID, shops)
	if err != nil {
		return err
	}
	if fresh {
		err = s.store.AddAccount(r.Context(), a, m)
	} else {
		err = s.store.PutMembership(r.Context(), m)
	}
	var problems study.Problems
	if errors.As(err, &problems) {
		return s.renderPeople(w, r, v, http.StatusUnprocessableEntity, peoplePage{Form: form, Problems: problems})
	}
	if err != nil {
		return err
	}
	if !fresh {
		http.Redirect(w, r, studyPath(v.study.Code, "/people"), http.StatusSeeOther)
		return nil
	}
	return s.showLink(w, r, v, a)
}

// showLink shows a new link once: nobody can look it up again.
func (s *Server) showLink(w http.ResponseWriter, r *http.Request, v *viewer, a study.Account) error {
	link, err := s.invite(r, a.ID)
	if err != nil {
		return err
	}
	return s.renderPeople(w, r, v, http.StatusOK, peoplePage{
		Form: personForm{Role: study.Operator}, Link: s.origin(r) + link, LinkFor: a.Name,
	})
}

// changePerson does what the pressed button says about one member.
func (s *Server) changePerson(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	line, err := s.memberNamed(r, v)
	if err != nil {
		return err
	}
	do := r.PostForm.Get("do")
	switch {
	case do == "save" && line.MayChange:
		return s.changeRole(w, r, v, line)
	case do == "remove" && line.MayChange:
		err = s.store.EndMembership(r.Context(), v.study.ID, line.Account.ID)
	case do == "link" && line.MayInvite:
		return s.showLink(w, r, v, line.Account)
	case do == "disable" && line.MayDisable:
		err = s.store.DisableAccount(r.Context(), line.Account.ID, true)
	case do == "enable" && line.MayDisable:
		err = s.store.DisableAccount(r.Context(), line.Account.ID, false)
	default:
		return errRole
	}
	if errors.Is(err, store.ErrLastSteward) {
		return s.renderPeople(w, r, v, http.StatusConflict, peoplePage{Fault: "people.last_steward"})
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, studyPath(v.study.Code, "/people"), http.StatusSeeOther)
	return nil
}

// memberNamed finds the member that the address names, and what the viewer may
// do about them.
func (s *Server) memberNamed(r *http.Request, v *viewer) (personLine, error) {
	id, err := uuid.Parse(r.PathValue("account"))
	if err != nil {
		return personLine{}, study.ErrNotFound
	}
	members, err := v.records.members(r.Context())
	if err != nil {
		return personLine{}, err
	}
	i := slices.IndexFunc(members, func(m store.Member) bool { return m.Account.ID == id })
	if i < 0 {
		return personLine{}, study.ErrNotFound
	}
	return newPersonLine(v.account, members[i]), nil
}

// changeRole stores another role and other shops of a member.
func (s *Server) changeRole(w http.ResponseWriter, r *http.Request, v *viewer, line personLine) error {
	shops, err := v.records.shops(r.Context())
	if err != nil {
		return err
	}
	m, err := readPersonForm(r).membership(line.Account.ID, v.study.ID, shops)
	if err == nil {
		err = s.store.PutMembership(r.Context(), m)
	}
	var problems study.Problems
	if errors.As(err, &problems) {
		return s.renderPeople(w, r, v, http.StatusUnprocessableEntity,
			peoplePage{Form: personForm{Role: study.Operator}, Problems: problems})
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, studyPath(v.study.Code, "/people"), http.StatusSeeOther)
	return nil
}
