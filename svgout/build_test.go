package svgout

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairlead/svgout/svgcheck"
)

var numberGroup = regexp.MustCompile(`(?s)<g id="number".*?</g>\n`)

// librsvg knows no animation of style. What it draws of the build is what it draws of the slide with the complete
// picture, to the pixel, but for the slide's number.
func TestBuildStandsCompleteWithoutAnimation(t *testing.T) {
	const pxPerMM = 3
	for _, name := range []string{"band-three-mistakes", "around-the-triangle"} {
		deck := slidesOf(t, taughtReport(t, name), false)
		whole := slices.IndexFunc(deck.slides, func(sl slide) bool { return sl.whole })
		slide := numberGroup.ReplaceAll(drawnSlides(t, deck)[whole], nil)
		want := svgcheck.RenderRSVG(t, slide, pxPerMM)
		got := svgcheck.RenderRSVG(t, drawnBuild(t, deck), pxPerMM)
		if d := svgcheck.MeanDifference(t, want, got); d != 0 {
			t.Errorf("%s: the build without animation differs from the complete slide by %.6f", name, d)
		}
		if f := svgcheck.InkFraction(got); f < 0.2 {
			t.Errorf("%s: %.3f of the picture is drawn", name, f)
		}
	}
}

// Only the captions that have passed are hidden by themselves. Everything else is hidden by an animation alone, which is
// asked for only of readers who do not mind motion, and which ends with everything shown.
func TestBuildHidesNothingForGood(t *testing.T) {
	deck := slidesOf(t, taughtReport(t, "band-three-mistakes"), false)
	build := string(drawnBuild(t, deck))
	styles := styleElement.FindAllString(build, -1)
	if len(styles) != 2 {
		t.Fatalf("%d styles", len(styles))
	}
	still, moving, found := strings.Cut(styles[1], "@media (prefers-reduced-motion: no-preference){")
	if !found {
		t.Fatal("the animation does not ask whether motion is wanted")
	}
	last := slices.IndexFunc(deck.slides, func(sl slide) bool { return sl.whole })
	for i := range last {
		still = strings.Replace(still, fmt.Sprintf("#caption-%d{opacity:0}\n", i+1), "", 1)
	}
	if rest := strings.TrimSpace(strings.Replace(still, `<style type="text/css">`, "", 1)); rest != "" {
		t.Errorf("without animation there is also %q", rest)
	}
	if !strings.Contains(moving, "@keyframes come{from{opacity:0}to{opacity:1}}") {
		t.Error("what comes does not stay")
	}
	for _, m := range regexp.MustCompile(`#(stage-[a-z0-9-]+|caption-\d+)\{animation:(\w+) [^}]*\}`).FindAllStringSubmatch(moving, -1) {
		past := strings.HasPrefix(m[1], "caption-") && m[1] != captionID(last)
		if want := map[bool]string{true: "pass", false: "come"}[past]; m[2] != want {
			t.Errorf("%s is animated to %s, want %s", m[1], m[2], want)
		}
		if !strings.Contains(build, `<g id="`+m[1]+`"`) {
			t.Errorf("%s is animated and not there", m[1])
		}
	}
	if n := strings.Count(moving, "animation:come"); n < 10 {
		t.Errorf("%d parts come", n)
	}
	for _, motion := range []string{"<script", "<animate", "<set", "infinite"} {
		if strings.Contains(build, motion) {
			t.Errorf("the build holds %s", motion)
		}
	}
}

// What comes in the animation comes with its slide, in the order of the slides.
func TestBuildFollowsTheSlides(t *testing.T) {
	for _, quiz := range []bool{false, true} {
		deck := slidesOf(t, taughtReport(t, "band-three-mistakes"), quiz)
		style := styleElement.FindAllString(string(drawnBuild(t, deck)), -1)[1]
		shown := map[string]bool{}
		for i, slide := range drawnSlides(t, deck) {
			ids, _ := pictureLayers(slide)
			if i == 0 || len(ids) == 0 {
				for _, id := range ids {
					shown[id] = true
				}
				continue
			}
			for _, id := range ids {
				if want := fmt.Sprintf("#stage-%s{animation:come 1s ease %ds backwards}", id, 5*i); !shown[id] && !strings.Contains(style, want) {
					t.Errorf("quiz %v: the build lacks %s", quiz, want)
				}
				shown[id] = true
			}
		}
		if bytes.Contains(drawnBuild(t, deck), []byte(deck.report.Laid.Plan.Case)) == quiz {
			t.Errorf("quiz %v: the case is told, or not", quiz)
		}
	}
}
