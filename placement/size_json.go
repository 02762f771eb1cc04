package placement

import (
	"encoding/json"
	"io"

	"fairlead/atlas/growth"
	"fairlead/atlas/words"
)

// SizingFormat names the JSON form of a sizing; it changes when a key changes its meaning.
const SizingFormat = "fairlead-size-1"

type sizingJSON struct {
	Format   string        `json:"format"`
	Plan     string        `json:"plan"`
	Device   Operation     `json:"device"`
	Pattern  string        `json:"pattern"`
	Expected expectedPair  `json:"expected"`
	Now      stateJSON     `json:"now"`
	Aims     []sizedJSON   `json:"aims"`
	Proposal *proposalJSON `json:"proposal,omitempty"`
	Care     words.Said    `json:"care"`
}

type expectedPair struct {
	Length expectedJSON `json:"rim_length_mm"`
	Area   expectedJSON `json:"area_mm2"`
}

type expectedJSON struct {
	Value float64 `json:"value"`
	By    string  `json:"by"`
	Basis string  `json:"basis"`
}

type segmentsJSON struct {
	Anterior  float64 `json:"anterior"`
	Posterior float64 `json:"posterior"`
	Septal    float64 `json:"septal"`
}

type stateJSON struct {
	Segments segmentsJSON `json:"segments_mm"`
	Length   float64      `json:"rim_length_mm"`
	Area     float64      `json:"area_mm2"`
	Share    float64      `json:"share_percent"`
	Score    *scoreJSON   `json:"area_z,omitempty"`
}

type scoreJSON struct {
	Z  float64 `json:"z"`
	By string  `json:"by"`
}

type sizedJSON struct {
	Aim        Aim           `json:"aim"`
	Goal       string        `json:"goal"`
	Basis      string        `json:"basis"`
	Without    string        `json:"without,omitempty"`
	Impossible bool          `json:"impossible,omitempty"`
	Device     float64       `json:"device_mm,omitempty"`
	Takes      *segmentsJSON `json:"takes_mm,omitempty"`
	After      *stateJSON    `json:"after,omitempty"`
	Costs      []string      `json:"costs,omitempty"`
	Level      *Level        `json:"level,omitempty"`
	Reasons    []Reason      `json:"reasons,omitempty"`
}

type proposalJSON struct {
	Aim     Aim                `json:"aim"`
	Verdict Level              `json:"verdict"`
	Bites   []proposedBiteJSON `json:"bites"`
	Text    string             `json:"text"`
}

type proposedBiteJSON struct {
	biteJSON
	Next         float64 `json:"next_mm,omitempty"`
	NextOnDevice float64 `json:"next_on_device_mm,omitempty"`
}

// WriteJSON writes the sizing for programs, as one JSON object. Keys keep their names and meanings for as long as format
// stays the same.
//
//	format              "fairlead-size-1"
//	plan                the plan's case label
//	device              "band", "ring" or "purse-string"
//	pattern             the pattern of stretching that what is taken is shared by
//	expected            rim_length_mm and area_mm2, each with value, by (a dataset's label or this atlas) and basis
//	now                 the rim as it is: segments_mm, rim_length_mm, area_mm2, share_percent of the expected area, and
//	                    area_z with z and by, left out where no dataset scores it
//	aims[]              aim, goal, basis and
//	  .without          why nothing is taken, and impossible where it cannot be; else
//	  .device_mm        band: from first to last stitch; ring: all round; purse-string: its runs together, once tied
//	  .takes_mm         of each segment
//	  .after            the rim after, as now
//	  .costs[]          what that takes and leaves, in words
//	  .level            the verdict on the plan with these bites and this repair in it
//	  .reasons[]        what the rules of repairs found, as in a report
//	proposal            left out where no aim takes anything: aim, verdict of the checked plan, and
//	  .bites[]          as in a report, with next_mm and next_on_device_mm, from its middle to that of the next; of a run
//	                    from where the needle first goes in to where it last comes out, as sewn and as tied
//	  .text             `bites:` and `repair:` of a plan file
//	care                the caution that goes with every answer
//
// Lengths and areas are rounded to a thousandth.
func (s *Sizing) WriteJSON(w io.Writer) error {
	out := sizingJSON{
		Format: SizingFormat, Plan: s.Laid.Plan.Case, Device: s.Form, Pattern: s.Pattern.Name,
		Expected: expectedPair{s.LengthMM.json(), s.AreaMM2.json()}, Now: s.stateJSON(s.Now), Care: Care(),
	}
	for _, a := range s.Aims {
		out.Aims = append(out.Aims, s.sizedJSON(a))
	}
	if s.Chosen != nil {
		out.Proposal = s.Chosen.proposalJSON()
	}
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(out)
}

func (e Expected) json() expectedJSON { return expectedJSON{thousandth(e.Value), e.By, e.Basis} }

func segmentsOf(s growth.Segments) segmentsJSON {
	return segmentsJSON{thousandth(s.Anterior), thousandth(s.Posterior), thousandth(s.Septal)}
}

func (s *Sizing) stateJSON(o Orifice) stateJSON {
	state := stateJSON{
		Segments: segmentsOf(growth.Segments{Anterior: o.AnteriorMM, Posterior: o.PosteriorMM, Septal: o.SeptalMM}),
		Length:   thousandth(o.LengthMM), Area: thousandth(o.AreaMM2), Share: thousandth(100 * o.AreaMM2 / s.AreaMM2.Value),
	}
	if score := o.scoreOf("rim-area"); score != nil {
		state.Score = &scoreJSON{thousandth(score.Z), score.By.String()}
	}
	return state
}

func (s *Sizing) sizedJSON(a Sized) sizedJSON {
	out := sizedJSON{Aim: a.Aim, Goal: a.Goal, Basis: a.Basis, Without: a.Without, Impossible: a.Impossible}
	if a.Without != "" {
		return out
	}
	takes, after := segmentsOf(a.TakesMM), s.stateJSON(a.Report.Outcome.After)
	out.Device, out.Takes, out.After, out.Costs, out.Level, out.Reasons = thousandth(a.DeviceMM), &takes, &after, s.costs(&a), &a.Report.Verdict, a.Report.Outcome.Reasons
	return out
}

func (a *Sized) proposalJSON() *proposalJSON {
	out := &proposalJSON{Aim: a.Aim, Verdict: a.Report.Verdict, Text: a.Text}
	for _, b := range a.Bites {
		out.Bites = append(out.Bites, proposedBiteJSON{b.json(), thousandth(b.NextMM), thousandth(b.NextOnDeviceMM)})
	}
	return out
}
