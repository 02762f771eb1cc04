package placement

import "fairlead/atlas"

type lineJSON struct {
	Verdict   Level              `json:"verdict"`
	Ostium    Side               `json:"ostium"`
	TakesIn   string             `json:"takes_in,omitempty"`
	LengthMM  float64            `json:"length_mm"`
	Places    []lineSpotJSON     `json:"places"`
	Crossings []lineCrossingJSON `json:"crossings"`
	Sides     []lineSideJSON     `json:"sides"`
	Distances []lineDistanceJSON `json:"distances"`
	Lip       *lineLipJSON       `json:"lip,omitempty"`
	Room      *lineRoomJSON      `json:"room,omitempty"`
	Seat      lineSeatJSON       `json:"seat"`
	Sample    *lineSampleJSON    `json:"sample,omitempty"`
	Reasons   []Reason           `json:"reasons"`
}

type lineSpotJSON struct {
	AlongMM float64 `json:"along_mm"`
	OffMM   float64 `json:"off_mm"`
	Place   string  `json:"place"`
}

type lineCrossingJSON struct {
	Of string `json:"of"`
	lineSpotJSON
}

type lineSideJSON struct {
	ID                 string  `json:"id"`
	Lies               string  `json:"lies"`
	VentricularPercent float64 `json:"ventricular_percent"`
	AtrialMM           float64 `json:"atrial_mm"`
	VentricularMM      float64 `json:"ventricular_mm"`
}

type lineDistanceJSON struct {
	Structure   string  `json:"structure"`
	LeafletOnly bool    `json:"leaflet_only"`
	SurfaceMM   float64 `json:"surface_mm"`
	DeepMM      float64 `json:"deep_mm"`
	Place       string  `json:"place"`
}

type lineLipJSON struct {
	MM    float64 `json:"mm"`
	Place string  `json:"place"`
}

type lineRoomJSON struct {
	MM       float64 `json:"mm"`
	WantedMM float64 `json:"wanted_mm"`
	To       string  `json:"to"`
}

type lineSeatJSON struct {
	AreaMM2      float64 `json:"area_mm2"`
	ProjectedMM2 float64 `json:"projected_mm2"`
	RMSMM        float64 `json:"rms_mm"`
	MaxMM        float64 `json:"max_mm"`
	LongestMM    float64 `json:"longest_mm"`
	ShortestMM   float64 `json:"shortest_mm"`
	OuterMM      float64 `json:"outer_mm,omitempty"`
	PredictedMM  float64 `json:"predicted_mm"`
}

type lineSampleJSON struct {
	Asked       int                  `json:"asked"`
	Hearts      int                  `json:"hearts"`
	Seed        uint64               `json:"seed"`
	Wrong       int                  `json:"wrong"`
	Unsewable   int                  `json:"unsewable"`
	OstiumWrong int                  `json:"ostium_wrong"`
	AxisWrong   int                  `json:"axis_wrong"`
	AxisNear    int                  `json:"axis_near"`
	AxisAtRisk  int                  `json:"axis_at_risk"`
	ArteryNear  int                  `json:"artery_near"`
	LittleRoom  int                  `json:"little_room"`
	Distances   []sampleDistanceJSON `json:"distances"`
}

type sampleDistanceJSON struct {
	ID       string  `json:"id"`
	Hearts   int     `json:"hearts"`
	LeastMM  float64 `json:"least_mm"`
	FifthMM  float64 `json:"fifth_mm"`
	MedianMM float64 `json:"median_mm"`
	MarginMM float64 `json:"margin_mm"`
	Under    int     `json:"under"`
}

func (l *LineReport) json() any {
	out := lineJSON{
		Verdict: l.Verdict, Ostium: l.Ostium, TakesIn: l.TakesIn, LengthMM: thousandth(l.LengthMM),
		Crossings: []lineCrossingJSON{}, Sides: []lineSideJSON{}, Distances: []lineDistanceJSON{}, Seat: l.Seat.json(),
		Reasons: append([]Reason{}, l.Reasons...),
	}
	for _, s := range l.Corners[:len(l.Corners)-1] {
		out.Places = append(out.Places, l.spotJSON(s))
	}
	for _, c := range l.Crossings {
		out.Crossings = append(out.Crossings, lineCrossingJSON{string(c.Of), l.spotJSON(c.Spot)})
	}
	for _, s := range l.Sides {
		out.Sides = append(out.Sides, lineSideJSON{s.ID, s.Lies(), thousandth(s.VentricularPercent), thousandth(s.AtrialMM), thousandth(s.VentricularMM)})
	}
	for _, d := range l.Distances {
		out.Distances = append(out.Distances, lineDistanceJSON{d.Structure, d.LeafletOnly, thousandth(d.SurfaceMM), thousandth(d.DeepMM), d.Where.String()})
	}
	if l.Lip != nil {
		out.Lip = &lineLipJSON{thousandth(l.Lip.MM), l.Lip.Where.String()}
	}
	if l.Room != nil {
		out.Room = &lineRoomJSON{thousandth(l.Room.MM), thousandth(l.Room.WantedMM), l.Room.To.String()}
	}
	if l.Sample != nil {
		out.Sample = l.Sample.json()
	}
	return out
}

// spotJSON writes a spot with its along within one turn.
func (l *LineReport) spotJSON(s atlas.Spot) lineSpotJSON {
	return lineSpotJSON{thousandth(l.course.heart.Rim.Wrap(s.AlongMM)), thousandth(s.OffMM), l.course.where(s).String()}
}

func (s Seat) json() lineSeatJSON {
	return lineSeatJSON{
		AreaMM2: thousandth(s.AreaMM2), ProjectedMM2: thousandth(s.ProjectedMM2), RMSMM: thousandth(s.RMSMM), MaxMM: thousandth(s.MaxMM),
		LongestMM: thousandth(s.LongestMM), ShortestMM: thousandth(s.ShortestMM), OuterMM: thousandth(s.OuterMM), PredictedMM: thousandth(s.PredictedMM),
	}
}

func (s *SampleReport) json() *lineSampleJSON {
	out := &lineSampleJSON{
		Asked: s.Asked, Hearts: s.Hearts, Seed: s.Seed, Wrong: s.Wrong, Unsewable: s.Unsewable, OstiumWrong: s.OstiumWrong,
		AxisWrong: s.AxisWrong, AxisNear: s.AxisNear, AxisAtRisk: s.AxisAtRisk, ArteryNear: s.ArteryNear, LittleRoom: s.LittleRoom, Distances: []sampleDistanceJSON{},
	}
	for _, d := range s.Distances {
		out.Distances = append(out.Distances, sampleDistanceJSON{d.ID, d.Hearts, thousandth(d.LeastMM), thousandth(d.FifthMM), thousandth(d.MedianMM), thousandth(d.MarginMM), d.Under})
	}
	return out
}
