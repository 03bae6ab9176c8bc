package web

import (
	"net/http"
	"slices"
	"strings"

	"beadspan/study"
)

func (s *Server) bayRoutes() []route {
	return []route{
		// One page serves the whole bay: the script in it shows a vehicle by the
		// address, so that it does so without a network too.
		{pattern: "GET /studies/{study}/bay", needs: logging, do: s.showBay},
		{pattern: "GET /studies/{study}/bay/{vehicle}", needs: logging, do: s.showBay},
		{pattern: "GET /studies/{study}/bay.json", needs: logging, do: asJSON(s.tellKnown)},
		{pattern: "GET /studies/{study}/bay.webmanifest", needs: logging, do: s.sendManifest},
		{pattern: "POST /studies/{study}/visits", needs: logging, do: asJSON(s.takeVisit)},
		{pattern: "POST /studies/{study}/jobs", needs: logging, do: asJSON(s.takeJob)},
		{pattern: "GET /service-worker.js", needs: anybody, do: s.sendWorker},
	}
}

// bayPage is what the bay's page brings along for its script.
type bayPage struct {
	Standings []study.Standing
	Grades    []beadPicture
	Setting   baySetting
}

// baySetting is all that the script has to know of study and language: nothing
// of it needs asking for without a network.
type baySetting struct {
	Study     string            `json:"study"`
	Account   string            `json:"account"`
	Tag       string            `json:"tag"`
	Protocol  bayProtocol       `json:"protocol"`
	MostDrops int               `json:"most_drops"`
	Photos    bayPhotos         `json:"photos"`
	Practice  []study.Practice  `json:"practice"` // of coating jobs
	Words     map[string]string `json:"words"`
}

// bayPhotos bounds what a phone takes and holds of photos.
type bayPhotos struct {
	MostPx      int `json:"most_px"`
	MostBytes   int `json:"most_bytes"`
	MostAtStage int `json:"most_at_stage"`
	MostWaiting int `json:"most_waiting"`
}

// newBayPhotos lets a phone hold photos of about 60 MB at the most.
func newBayPhotos() bayPhotos {
	return bayPhotos{study.MostPhotoPx, study.MostPhotoBytes, study.MostPhotosAtStage, 60}
}

// bayProtocol is how the script judges a reading.
type bayProtocol struct {
	Metric       study.Metric `json:"metric"`
	Threshold    float64      `json:"threshold"`
	HigherIsGood bool         `json:"higher_is_good"`
	Confirm      int          `json:"confirm"`
	// MostSpreadDeg is how far drops may differ.
	MostSpreadDeg float64 `json:"most_spread_deg"`
}

func newBayProtocol(p study.Protocol) bayProtocol {
	return bayProtocol{p.Metric, p.Threshold, p.Metric.HigherIsGood(), p.Confirm, study.MostSpreadDeg}
}

func (s *Server) showBay(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	page := bayPage{
		Standings: study.Standings(),
		Grades:    beadPictures(),
		Setting: baySetting{
			Study: v.study.Code, Account: v.account.Name, Tag: v.say.Tag, Protocol: newBayProtocol(v.study.Protocol),
			MostDrops: study.MostDrops, Photos: newBayPhotos(), Practice: study.JobPractice(), Words: bayWords(v.say),
		},
	}
	return s.render(w, v, http.StatusOK, "bay.html", v.say.text("bay.title"), page)
}

// bayWords are the messages that the bay's script may say.
func bayWords(l *language) map[string]string {
	words := map[string]string{}
	for key, text := range l.messages {
		head, _, _ := strings.Cut(key, ".")
		if head == "bay" || slices.Contains(bayHeads, head+".%s") {
			words[key] = text
		}
	}
	return words
}

// bayHeads are the beginnings of messages that the script puts together.
var bayHeads = []string{
	"care.%s", "condition.%s", "due.%s", "finish.%s", "garage.%s", "grade.%s", "orientation.%s", "panel.%s", "practice.%s",
	"labels.%s", "stage.%s", "standing.%s", "substrate.%s",
}
