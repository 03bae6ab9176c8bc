package web

import (
	"crypto/rand"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) tokenRoutes() []route {
	return []route{
		{pattern: "GET /tokens", needs: account, do: s.showTokens},
		{pattern: "POST /tokens", needs: account, do: s.makeToken},
		{pattern: "POST /tokens/{token}", needs: account, do: s.revokeToken},
	}
}

// tokenPrefix begins every token, so that one left in a file is found by those
// who look for secrets.
const tokenPrefix = "beadspan_"

// tokenDays is how long a token may be good.
func tokenDays() []int { return []int{30, 90, 365} }

// tokensPage lists the tokens of whoever looks, and has the form for one more.
type tokensPage struct {
	Tokens   []tokenLine
	Studies  []store.Access
	Roles    []study.Role
	Days     []int
	Form     tokenForm
	Secret   string // shown once
	Problems study.Problems
}

// tokenForm is the form for a token, as filled in.
type tokenForm struct {
	Label, Study string
	Role         study.Role
	Days         int
}

// tokenLine is a token as the list shows it.
type tokenLine struct {
	study.Token
	Study string // code; empty where the account may not see it any more
	State string // good, revoked or expired
}

// Until is the last day on which the token is good.
func (l tokenLine) Until() study.Day { return study.DayOfTime(l.Expires) }

// LastUsed is the day on which the token was used last; nil for never.
func (l tokenLine) LastUsed() *study.Day {
	if l.Used == nil {
		return nil
	}
	day := study.DayOfTime(*l.Used)
	return &day
}

// stateOf says whether a token or link may still be used.
func stateOf(revoked *time.Time, expires time.Time) string {
	switch {
	case revoked != nil:
		return "revoked"
	case !time.Now().Before(expires):
		return "expired"
	}
	return "good"
}

func (s *Server) showTokens(w http.ResponseWriter, r *http.Request, v *viewer) error {
	return s.renderTokens(w, r, v, http.StatusOK, tokensPage{Form: tokenForm{Role: study.Reader, Days: 90}})
}

func (s *Server) renderTokens(w http.ResponseWriter, r *http.Request, v *viewer, status int, page tokensPage) error {
	var err error
	if page.Studies, err = s.store.AccessesOf(r.Context(), v.account); err != nil {
		return err
	}
	tokens, err := s.store.Tokens(r.Context(), v.account.ID)
	if err != nil {
		return err
	}
	codes := map[study.ID]string{}
	for _, x := range page.Studies {
		codes[x.Study.ID] = x.Study.Code
	}
	for _, t := range tokens {
		page.Tokens = append(page.Tokens, tokenLine{t, codes[t.StudyID], stateOf(t.Revoked, t.Expires)})
	}
	page.Roles, page.Days = study.Roles(), tokenDays()
	return s.render(w, v, status, "tokens.html", v.say.text("tokens.title"), page)
}

// makeToken makes a token and shows it once: nobody can look it up again.
func (s *Server) makeToken(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	form := readTokenForm(r)
	token, err := s.tokenWanted(r, v, form)
	secret := tokenPrefix + rand.Text() // 128 bits and more
	if err == nil {
		err = s.store.AddToken(r.Context(), token, secret)
	}
	var problems study.Problems
	if errors.As(err, &problems) {
		return s.renderTokens(w, r, v, http.StatusUnprocessableEntity, tokensPage{Form: form, Problems: problems})
	}
	if err != nil {
		return err
	}
	return s.renderTokens(w, r, v, http.StatusOK, tokensPage{Form: tokenForm{Role: study.Reader, Days: 90}, Secret: secret})
}

func readTokenForm(r *http.Request) tokenForm {
	days, err := strconv.Atoi(r.PostForm.Get("days"))
	if err != nil {
		days = 0 // none of those to choose from
	}
	return tokenForm{strings.TrimSpace(r.PostForm.Get("label")), r.PostForm.Get("study"), study.Role(r.PostForm.Get("role")), days}
}

// tokenWanted is the token that the form asks for. Nobody gives a token more
// than they may do themselves.
func (s *Server) tokenWanted(r *http.Request, v *viewer, form tokenForm) (study.Token, error) {
	token := study.Token{ID: study.NewID(), AccountID: v.account.ID, Role: form.Role, Label: form.Label,
		Expires: time.Now().Add(time.Duration(form.Days) * 24 * time.Hour)}
	problems := token.Validate()
	if !slices.Contains(tokenDays(), form.Days) {
		problems = append(problems, study.Problem{Column: "days", Want: "expected one of the times to choose from"})
	}
	access, err := s.store.AccessOf(r.Context(), v.account, form.Study)
	switch {
	case errors.Is(err, study.ErrNotFound):
		problems = append(problems, study.Problem{Column: "study", Got: form.Study, Want: "expected a study that you may see"})
	case err != nil:
		return token, err
	case len(problems) == 0 && access.Membership.Role.Within(form.Role) != form.Role:
		problems = append(problems, study.Problem{Column: "role", Got: string(form.Role), Want: "expected no more than you may do there yourself"})
	}
	token.StudyID = access.Study.ID
	return token, problems.OrNil()
}

// revokeToken ends a token of whoever asks, at once.
func (s *Server) revokeToken(w http.ResponseWriter, r *http.Request, v *viewer) error {
	id, err := uuid.Parse(r.PathValue("token"))
	if err != nil {
		return study.ErrNotFound
	}
	if err := s.store.RevokeToken(r.Context(), v.account.ID, id); err != nil {
		return err
	}
	http.Redirect(w, r, "/tokens", http.StatusSeeOther)
	return nil
}
