package svgout

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fairlead/placement"
)

func repairView(t testing.TB, report *placement.Report) []byte {
	t.Helper()
	var plate bytes.Buffer
	if err := RepairView(&plate, report); err != nil {
		t.Fatal(err)
	}
	return plate.Bytes()
}

// trialRepairs are repairs at the edges of what plans can ask for.
func trialRepairs(t testing.TB) map[string][]byte {
	t.Helper()
	many := make([]string, 40)
	for i := range many {
		many[i] = fmt.Sprintf("a bite with a long name, number %d", i)
	}
	looks := "look-at: [" + strings.Repeat("\"something to look at that takes more words than there are on two lines of the right half of a plate like this one\", ", 19) + "\"the last\"]\n"
	plates := map[string][]byte{}
	for name, plan := range map[string]string{
		"nothing drawn":   string(trialPlan("Nothing drawn (invented)", "", "1", "2", "3")) + "repair:\n  - device: { form: band, holds: flexible, length: 250 mm }\n",
		"many intervals":  string(trialPlan("Many intervals (invented)", "", many...)) + "repair:\n  - device: { form: band, holds: flexible, length: 20 mm }\n" + looks,
		"one commissure":  string(trialPlan("One commissure (invented)", "")) + "repair:\n  - plicate: { commissure: anteroposterior-commissure, take: 12 mm }\n",
		"rigid ring":      string(trialPlan("Rigid ring (invented)", "patient: { surface: 1.8 m2 }\nheart: { rim-length: 130 mm }\n", many[:12]...)) + "repair:\n  - device: { form: band, holds: rigid, long-axis: 36 mm, short-axis: 30 mm, opening: 60 mm }\n",
		"cleft and new":   string(trialPlan("Cleft and new (invented)", "valve: { cleft: true }\n")) + "repair:\n  - close-cleft: {}\n  - new-commissure: { at: { segment: anterior, share: 50 % } }\n",
		"two leaflets":    string(trialPlan("Two leaflets (invented)", "patient: { surface: 0.3 m2 }\n")) + "repair:\n  - plicate: { segment: posterior, to: 0 mm }\n" + looks,
		"almost all away": string(trialPlan("Almost all away (invented)", "")) + "repair:\n  - plicate: { segment: posterior, to: 0 mm }\n  - plicate: { segment: anterior, to: 31.5 mm }\n",
	} {
		plates[name] = repairView(t, reportOf(t, name, []byte(plan)))
	}
	return plates
}

func TestRepairPlates(t *testing.T) {
	t.Parallel() // it waits for outside programs
	checkPlates(t, trialRepairs(t))
}

// What is drawn of the rim, before and after, has the lengths that are told, at the plate's scale and seen from above.
func TestRepairIsDrawnToScale(t *testing.T) {
	report := reportOf(t, "plan", []byte(string(trialPlan("Scale (invented)", "heart: { saddle-height: 0 mm }\n"))+"repair:\n  - plicate: { segment: posterior, to: 12 mm }\n"))
	plate := string(repairView(t, report))
	scale, err := strconv.ParseFloat(regexp.MustCompile(`Scale ([0-9.]+) : 1`).FindStringSubmatch(plate)[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	for class, want := range map[string]float64{"ghost": report.Outcome.Before.LengthMM, "rim": report.Outcome.After.LengthMM} {
		d := regexp.MustCompile(`<path d="([^"]*)" class="` + class + `"`).FindStringSubmatch(plate)
		if d == nil {
			t.Fatalf("no path of class %s", class)
		}
		if got := bezierLength(t, d[1]) / scale; math.Abs(got-want) > 0.004*want {
			t.Errorf("%s: drawn %.2f mm long, want %.2f", class, got, want)
		}
	}
}

// bezierLength is the length of a path of cubic pieces, by many straight ones.
func bezierLength(t *testing.T, d string) (length float64) {
	t.Helper()
	var numbers []float64
	for _, word := range regexp.MustCompile(`-?[0-9.]+`).FindAllString(d, -1) {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			t.Fatal(err)
		}
		numbers = append(numbers, x)
	}
	at := Point{numbers[0], numbers[1]}
	for i := 2; i+5 < len(numbers); i += 6 {
		c1, c2, to := Point{numbers[i], numbers[i+1]}, Point{numbers[i+2], numbers[i+3]}, Point{numbers[i+4], numbers[i+5]}
		before := at
		for j := 1; j <= 100; j++ {
			u := float64(j) / 100
			v := 1 - u
			p := at.Times(v * v * v).Plus(c1.Times(3 * v * v * u)).Plus(c2.Times(3 * v * u * u)).Plus(to.Times(u * u * u))
			length += p.Distance(before)
			before = p
		}
		at = to
	}
	return length
}

func TestRepairPlateNeedsARepair(t *testing.T) {
	var plate bytes.Buffer
	if err := RepairView(&plate, reportOf(t, "plan", trialPlan("None (invented)", ""))); err == nil || plate.Len() > 0 {
		t.Errorf("%v, %d bytes", err, plate.Len())
	}
}

func TestRepairPlateSaysWhatItShows(t *testing.T) {
	report := reportOf(t, "plan", []byte(string(trialPlan("Words (invented)", ""))+"repair:\n  - plicate: { segment: posterior, to: 0 mm }\n"))
	plate := string(repairView(t, report))
	for _, words := range []string{`role="img"`, "posterior segment", "-100 %", fmt.Sprintf("%.0f", report.Outcome.After.AreaMM2), `id="before"`, `id="reduction"`, "not a medical device"} {
		if !strings.Contains(plate, words) {
			t.Errorf("the plate does not say %q", words)
		}
	}
	for _, r := range report.Outcome.Reasons {
		if r.Level > placement.Clear && !strings.Contains(plate, strings.Fields(sentence(r.Text.String()))[0]) {
			t.Errorf("the plate does not tell that it %s", r.Text)
		}
	}
}
