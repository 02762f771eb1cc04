package growth

// How a limit is meant.
const (
	AtMost  = "at-most"  // reached at the value and beneath it
	Below   = "below"    // reached beneath the value
	AtLeast = "at-least" // reached at the value and above it
	Above   = "above"    // reached above the value
	About   = "about"    // a target, which is never reached
)

// Limit is a figure that sizes and flows are judged by.
type Limit struct {
	Name, Label string
	Sense       string // AtMost, Below, AtLeast, Above or About
	Value       float64
	Unit        string // mm, mm2, cm, mmHg, ms, %, mm/m2 or z
	Evidence
}

// Reached tells whether a value, in the unit of the limit, reaches it.
func (l Limit) Reached(value float64) bool {
	switch l.Sense {
	case AtMost:
		return value <= l.Value
	case Below:
		return value < l.Value
	case AtLeast:
		return value >= l.Value
	case Above:
		return value > l.Value
	}
	return false
}

func (r *reader) readLimits() []Limit {
	var all []Limit
	once := r.once("limit")
	for _, v := range r.parse("limits.yaml", limitsShape).Get("limits").Items() {
		all = append(all, Limit{
			Name: once(v.Get("name")), Label: v.Get("label").Text(), Sense: v.Get("sense").Text(),
			Value: v.Get("value").Number(), Unit: v.Get("unit").Text(), Evidence: r.evidence(v),
		})
	}
	return all
}

// Limits lists the limits.
func (t *Tables) Limits() []Limit { return append([]Limit(nil), t.limits...) }

// Limit finds a limit by its name.
func (t *Tables) Limit(name string) (Limit, error) {
	return find("limit", name, t.limits, func(l Limit) string { return l.Name })
}
