package placement

import (
	"encoding/json"
	"io"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/words"
)

// Care is the caution every output carries; its gist is its first sentence.
func Care() words.Said { return words.Of("care") }

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
	File    string     `json:"file"`
	Plan    string     `json:"plan"`
	Verdict Level      `json:"verdict"`
	Bites   []biteJSON `json:"bites"`
	Repair  any        `json:"repair,omitempty"`
	Line    any        `json:"line,omitempty"`
	Patches any        `json:"patches,omitempty"`
	LookAt  []string   `json:"look_at,omitempty"`
	Figures Figures    `json:"figures"`
	Care    words.Said `json:"care"`
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
//	file                    the plan's file, as it was named in the call
//	plan                    the plan's case label
//	verdict                 "clear", "caution" or "avoid": the worst of bites, line, patches and repair
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
//	repair                  what the repair makes of the valve; see Outcome. Left out where none is planned
//	  .verdict              the worst level of its reasons
//	  .predicted_area_mm2   the area expected of a healthy rim
//	  .predicted_by         the dataset that is from, or where else
//	  .predicted_percent    the area after, as a share of it
//	  .surface_m2           of the body; left out where it is not known
//	  .off_device_mm        how far the rim lies off a rigid device at most; left out without one
//	  .mirrors_percent      how much of what is taken falls to the segments as they were too long; left out where none was
//	  .sizes[]              of the rim, each before and after
//	    .name, .unit        the parameter's, or circularity and free-to-septal, whose unit is 1
//	    .before, .after     left out where a size has no value, as a ratio to nothing
//	    .less_percent       by how much less it is after; negative: more
//	    .before_per_m2, .after_per_m2   by body surface; left out where that is not known
//	    .z_before, .z_after, .z_by   z-scores and their dataset; left out where it has no such size
//	  .intervals[]          what is drawn together, in the order of the steps, clockwise within each
//	    .step               device, purse-string or plicate
//	    .between[]          the bites it lies between, or what is folded
//	    .from_mm, .for_mm   where on the rim before, clockwise from the anteroseptal commissure, and how long
//	    .before_mm          how long the steps before left it
//	    .holds_mm           how long device, thread or fold would have it
//	    .after_mm           how long it is after the step, which never lengthens
//	    .less_percent       by how much of its length it is less
//	    .slack_mm           how much more the step holds than there was
//	  .ends[]               of an open device; left out without one
//	    .bite               the name of the end's bite
//	    .septal             whether it is the end at the septum
//	    .drawn_mm           how far the rim there is drawn, the septum held
//	    .next_shorter_mm    by how much the interval beside it is made shorter
//	  .leaflets[]           of the repaired valve, clockwise
//	    .name               anterior, posterior, septal or as the valve has it
//	    .hinge_mm           the length of its hinge after
//	    .height_mm          from the middle of its hinge to its free edge
//	    .reach_mm           to the farthest place that is nearest to its hinge
//	    .cover_mm           what is left of the height; negative: it does not reach
//	    .cleft              whether it is still cleft
//	  .reasons[]            as of a bite
//	line                    the suture line of a replacement; see LineReport. Left out where there is none
//	  .verdict              the worst level of its reasons
//	  .ostium, .takes_in    as in the plan
//	  .length_mm            of the line on the endocardium, all round
//	  .places[]             its corners, clockwise; between them it is straight on the chart
//	    .along_mm, .off_mm  on the chart, along within one turn
//	    .place              in words
//	  .crossings[]          where it crosses the hinge and the tendon line, in the order it comes to them
//	    .of                 "hinge" or "tendon line"
//	    .along_mm, .off_mm  on the chart
//	    .place              in words
//	  .sides[]              where the ostium, the conduction axis and the halves of the nodal triangle lie
//	    .id                 of the structure or zone
//	    .lies               "atrial side", "ventricular side" or "both sides"
//	    .ventricular_percent  how much of it lies on the ventricular side: of its outline, surface or area
//	    .atrial_mm          how far it reaches from the line into the atrial side, on the tissue; 0: not at all
//	    .ventricular_mm     and into the ventricular side
//	  .distances[]          clearance of the whole line to each structure
//	    .structure          its id
//	    .leaflet_only       true: where needles take leaflet alone; false: everywhere else
//	    .surface_mm         from the line on the endocardium
//	    .deep_mm            from the line as deep as its needles go
//	    .place              where it is nearest, in words
//	  .lip                  the lip of the ostium; left out where there is none
//	    .mm                 clearance on the tissue; negative inside
//	    .place              where, in words
//	  .room                 between lip and axis, where the line is to run there
//	    .mm, .wanted_mm     what there is, and what margins and needle want
//	    .to                 what of the axis is nearest to the lip
//	  .seat                 the opening for the prosthesis
//	    .area_mm2     of the fan spanned from its centre, mm2
//	    .projected_mm2  enclosed in its best plane, mm2
//	    .rms_mm, .max_mm    how far the line lies off that plane
//	    .longest_mm, .shortest_mm  calliper widths in that plane
//	    .outer_mm           of the prosthesis, as in the plan
//	    .predicted_mm       diameter of a circle as long as the rim the body leads one to expect
//	  .sample               the same words on hearts like this one
//	    .asked, .hearts     how many were asked for, and how many could be drawn
//	    .seed               by which they are drawn
//	    .wrong              in how many the line goes wrong in any of these ways:
//	    .unsewable          it makes no line round the valve
//	    .ostium_wrong       the ostium is cut or lies on the other side
//	    .axis_wrong         something of node or bundle is not taken in, where it is to be
//	    .axis_near          the conduction axis comes nearer than its margin
//	    .artery_near        the artery of the node does
//	    .axis_at_risk       in how many axis_wrong or axis_near
//	    .little_room        in how many lip and axis leave no room for both margins
//	    .distances[]        over the hearts in which the line can be sewn
//	      .id               conduction, nodal-artery, right-coronary, aortic-root or ostium-lip
//	      .hearts           in how many it was measured
//	      .least_mm, .fifth_mm, .median_mm  the smallest, the fifth percentile and the median
//	      .margin_mm        to keep
//	      .under            in how many hearts it is less
//	  .reasons[]            as of a bite
//	patches[]               the patches to cut; left out where there are none
//	  .name                 as in the plan
//	  .verdict              the worst level of its reasons
//	  .area_mm2             of the tissue it covers
//	  .flat_area_mm2        of the patch laid flat, without seam
//	  .perimeter_mm         round the tissue it covers
//	  .flat_perimeter_mm    round the patch laid flat, without seam
//	  .seam_mm              what is left around it to sew in
//	  .longest_percent      how much a short way is lengthened at most when it is laid flat
//	  .shortest_percent     the same at least: negative where it is pressed together
//	  .bites[]              the names of the bites along its edge, in order
//	  .reasons[]            as of a bite
//	look_at[]               what the plan says will be looked at, at the table
//	figures                 how many of the heart's figures are
//	  .published            published, and read at least as an abstract or a quotation
//	  .memory               remembered, not confirmed
//	  .assumption           assumed
//	  .measured             measured in this patient
//	care                    the caution that goes with every report
//
// Lengths are in mm, rounded to 0.001 mm.
func (r *Report) WriteJSON(w io.Writer) error {
	out := reportJSON{Format: ReportFormat, File: r.Laid.Plan.File, Plan: r.Laid.Plan.Case, Verdict: r.Verdict, Bites: []biteJSON{}, LookAt: r.Laid.Plan.Looks, Figures: r.Figures(), Care: Care()}
	if r.Outcome != nil {
		out.Repair = r.Outcome.json()
	}
	if r.Line != nil {
		out.Line = r.Line.json()
	}
	if len(r.Patches) > 0 {
		out.Patches = patchesJSON(r.Patches)
	}
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
		Name: r.Name, Kind: string(r.Kind), Tissue: string(r.Tissue), Place: r.Where.String(), DepthMM: thousandth(r.DepthMM),
		Verdict: r.Verdict, Clearance: thousandth(r.Nearest.MM), Nearest: r.Nearest.Structure, Clearances: clearances,
		Reasons: append([]Reason{}, r.Reasons...), // an empty list, never null
	}
}

// thousandth rounds, without a negative zero.
func thousandth(mm float64) float64 { return math.Round(mm*1000)/1000 + 0 }
