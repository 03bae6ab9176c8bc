package reports

import (
	"encoding/xml"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// Each coating with a curve has its picture, whatever is claimed of it: both
// ends, one of them, more months than anybody was followed for.
func TestClaimPlots(t *testing.T) {
	t.Parallel()
	y := madeUpYard(3, 60)
	y.held("Cfb", "NEW", 100)
	for _, claim := range [][2]*float64{{new(10.0), new(18.0)}, {new(12.0), nil}, {nil, new(24.0)}, {new(60.0), new(120.0)}} {
		c := y.claims(t, claim[0], claim[1], quick(study.DefaultClaimRule()))
		plots := c.Plots()
		require.Len(t, plots, 2)
		assert.Equal(t, "claim-A-1", plots[0].Name)
		assert.Equal(t, "claim-B--2", plots[1].Name)
		for i, p := range plots {
			assert.Equal(t, c.Rows[i].Finding(), p.Title)
			assert.NotEmpty(t, p.Table.Rows)
			svg := string(writtenBy(t, p.WriteSVG))
			require.NoError(t, xml.Unmarshal([]byte(svg), new(struct{ XMLName xml.Name })))
			for _, end := range c.Rows[i].Ends {
				assert.Contains(t, svg, "takes "+percent(end.Promised))
				assert.Contains(t, svg, verdictWords(end.Verdict))
			}
		}
		section := c.Section()
		drawn, headed := 0, 0
		for _, part := range section.Parts {
			drawn += one(part.Plot != nil)
			headed += one(part.Heading != "")
		}
		assert.Equal(t, 2, drawn)
		assert.Equal(t, 3, headed, "a coating without a curve has its verdict too")
	}
	empty := newYard().claims(t, nil, nil, quick(study.DefaultClaimRule())).Section()
	require.Len(t, empty.Parts, 1)
	assert.Contains(t, empty.Parts[0].Text, "coatings.csv")
}
