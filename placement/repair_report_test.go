package placement

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

// The JSON holds the outcome, rounded.
func TestJSONHoldsTheOutcome(t *testing.T) {
	plan := rigidBandPlan(t)
	plan.Patient = Patient{SurfaceM2: 1.8}
	report := mustCheck(t, plan)
	o, doc := report.Outcome, jsonOfReport(t, report)["repair"].(map[string]any)
	if doc["verdict"] != o.Verdict.String() || doc["predicted_by"] != o.Predicted.By.String() {
		t.Errorf("got %v by %v", doc["verdict"], doc["predicted_by"])
	}
	near(t, "share", doc["predicted_percent"].(float64), o.SharePercent(), 0.0005)
	near(t, "off the device", doc["off_device_mm"].(float64), o.Gathered.OffFormerMM, 0.0005)
	for i, s := range o.Sizes() {
		got := doc["sizes"].([]any)[i].(map[string]any)
		if got["name"] != s.Name || got["unit"] != s.Unit {
			t.Fatalf("size %d is %v", i, got)
		}
		near(t, s.Name, got["after"].(float64), s.After, 0.0005)
		near(t, s.Name+" less", got["less_percent"].(float64), s.LessPercent(), 0.0005)
		if _, indexed := got["after_per_m2"]; indexed != (s.Unit != "1") {
			t.Errorf("%s by surface: %v", s.Name, indexed)
		}
		if _, scored := got["z_after"]; scored != (s.ZAfter != nil) {
			t.Errorf("%s scored: %v", s.Name, scored)
		}
	}
	for i, interval := range o.Intervals {
		got := doc["intervals"].([]any)[i].(map[string]any)
		near(t, "interval", got["after_mm"].(float64), interval.AfterMM, 0.0005)
		if between := got["between"].([]any); between[0] != interval.Between[0] || between[1] != interval.Between[1] {
			t.Errorf("between %v", between)
		}
	}
	if ends := doc["ends"].([]any); len(ends) != 2 || ends[0].(map[string]any)["septal"] != true || ends[0].(map[string]any)["bite"] != "9" {
		t.Errorf("ends %v", ends)
	}
}

// A ratio to nothing has no value, in JSON as in the table.
func TestReportOfASegmentTakenAway(t *testing.T) {
	report := mustCheck(t, repairing(nil, folded(Septal, 0)))
	if !math.IsInf(report.Outcome.After.FreeToSeptal, 1) {
		t.Fatal("something is left of the septal segment")
	}
	sizes := jsonOfReport(t, report)["repair"].(map[string]any)["sizes"].([]any)
	for _, s := range sizes {
		if s := s.(map[string]any); s["name"] == "free-to-septal" {
			if _, there := s["after"]; there {
				t.Errorf("got %v", s)
			}
		}
	}
	if table := tableOf(t, report); !strings.Contains(table, "free wall over septal segment") || strings.Contains(table, "Inf") || strings.Contains(table, "NaN") {
		t.Errorf("got\n%s", table)
	}
}

// The table keeps its width whatever the names, and says the slack.
func TestTableOfARepair(t *testing.T) {
	bites := stitchedAt(10, 20, 30)
	bites[0].Name, bites[1].Name = strings.Repeat("long name ", 20), "\x1b[2J"
	plan := repairing(bites, flexible(BandForm, 40, 8, 12.5))
	plan.Patient = Patient{HeightCM: 172, WeightKG: 74}
	table := tableOf(t, mustCheck(t, plan))
	checkWidth(t, table)
	for _, want := range []string{"The repair:", "2.5 mm slack", "before/m2", "z after", "leaflets, mm", "2.43 ± 0.212"} {
		if !strings.Contains(table, want) {
			t.Errorf("no %q in\n%s", want, table)
		}
	}
	if strings.ContainsRune(table, '\x1b') {
		t.Error("a name moves the cursor")
	}
	if got := tableOf(t, mustCheck(t, codePlan())); strings.Contains(got, "repair") {
		t.Errorf("a repair came from nowhere:\n%s", got)
	}
}

// The same plan gives the same bytes.
func TestReportOfARepairIsTheSameAgain(t *testing.T) {
	var first bytes.Buffer
	if err := mustCheck(t, rigidBandPlan(t)).WriteJSON(&first); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		var again bytes.Buffer
		if err := mustCheck(t, rigidBandPlan(t)).WriteJSON(&again); err != nil || !bytes.Equal(first.Bytes(), again.Bytes()) {
			t.Fatalf("not the same again: %v", err)
		}
	}
}
