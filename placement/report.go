package placement

import (
	"encoding/json"
	"io"
	"math"

	"fairlead/atlas"
)

// Care is the caution every output carries.
const Care = "For rehearsal, teaching and planning; not a medical device. Anatomy varies: inspection, rhythm, local protocol " +
	"and the licensed surgeon decide."

// Figures counts the figures a report rests on by how well they are known.
type Figures struct {
	Published  int `json:"published"`
	Memory     int `json:"memory"`
	Assumption int `json:"assumption"`
	Measured   int `json:"measured"`
}

// Figures counts the parameters of the report's heart.
func (r *Report) Figures() (f Figures) {
	for _, v := range r.Laid.Heart.Values {
		switch {
		case v.Measured:
			f.Measured++
		case v.Grade.Published():
			f.Published++
		case v.Grade == atlas.Memory:
			f.Memory++
		default:
			f.Assumption++
		}
	}
	return f
}

type reportJSON struct {
	Format  string     `json:"format"`
	Plan    string     `json:"plan"`
	Verdict Level      `json:"verdict"`
	Bites   []biteJSON `json:"bites"`
	Figures Figures    `json:"figures"`
	Care    string     `json:"care"`
}

type biteJSON struct {
	Name       string             `json:"name"`
	Kind       string             `json:"kind"`
	Tissue     string             `json:"tissue"`
	Place      string             `json:"place"`
	DepthMM    float64            `json:"depth_mm"`
	Verdict    Level              `json:"verdict"`
	Clearance  float64            `json:"clearance_mm"`
	Nearest    string             `json:"nearest"`
	Clearances map[string]float64 `json:"clearances_mm"`
	Reasons    []Reason           `json:"reasons"`
}

// ReportFormat names the JSON form of a report; it changes when a key changes its meaning.
const ReportFormat = "fairlead-report-1"

// WriteJSON writes the report for programs, as one JSON object. These keys keep their names and meanings for as long
// as format stays the same; a reader should pass over keys it does not know.
//
//	format                  "fairlead-report-1"
//	plan                    the plan's case label
//	verdict                 "clear", "caution" or "avoid": the worst of the bites
//	bites[]                 the bites in the order of the plan, none for the heart alone
//	  .name                 as in the plan
//	  .kind, .tissue        as in the plan
//	  .place                where it goes in, in words
//	  .depth_mm             as in the plan
//	  .verdict              the worst level of its reasons; "clear" without any
//	  .clearance_mm         from needle or thread to the nearest structure; negative inside
//	  .nearest              the id of that structure
//	  .clearances_mm        the clearance to every structure, by its id
//	  .reasons[]            what the rules found, none where there is nothing to say
//	    .rule               the id of the rule, as `fairlead rules` lists it
//	    .level              the level this reason asks for; "clear" for a remark
//	    .basis              what the rule rests on: how well it is known, and the source where there is one
//	    .text               what was found, in words and millimetres
//	    .instead            what to do instead; left out where there is nothing to mend
//	figures                 how many of the heart's figures are
//	  .published            published, and read at least as an abstract or a quotation
//	  .memory               remembered, not confirmed
//	  .assumption           assumed
//	  .measured             measured in this patient
//	care                    the caution that goes with every report
//
// Lengths are in mm, rounded to 0.001 mm.
func (r *Report) WriteJSON(w io.Writer) error {
	out := reportJSON{Format: ReportFormat, Plan: r.Laid.Plan.Case, Verdict: r.Verdict, Bites: []biteJSON{}, Figures: r.Figures(), Care: Care}
	for _, b := range r.Bites {
		out.Bites = append(out.Bites, b.json())
	}
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(out)
}

func (r BiteReport) json() biteJSON {
	clearances := make(map[string]float64, len(r.Clearances))
	for _, c := range r.Clearances {
		clearances[c.Structure] = thousandth(c.MM)
	}
	return biteJSON{
		Name: r.Name, Kind: string(r.Kind), Tissue: string(r.Tissue), Place: r.Where, DepthMM: thousandth(r.DepthMM),
		Verdict: r.Verdict, Clearance: thousandth(r.Nearest.MM), Nearest: r.Nearest.Structure, Clearances: clearances,
		Reasons: append([]Reason{}, r.Reasons...), // an empty list, never null
	}
}

// thousandth rounds, without a negative zero.
func thousandth(mm float64) float64 { return math.Round(mm*1000)/1000 + 0 }
