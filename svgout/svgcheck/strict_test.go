package svgcheck

import (
	"fmt"
	"strings"
	"testing"
)

const soundHead = `<?xml version="1.0"?>
<!-- a > b < c id="x" id="x" -->
<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm" viewBox="0 0 10 10" role="img" aria-labelledby="t d">
<title id="t">One</title><desc id="d">url(x) onload=1 href="http://x"</desc>
<style type="text/css"><![CDATA[.a{fill:none} .b-c{fill:red}]]></style>
`

func sheet(body string) []byte { return []byte(soundHead + body + "\n</svg>") }

func TestSoundSheets(t *testing.T) {
	for _, body := range []string{
		"",
		`<path class="a" d="M1,2L3-4.5.5 6e-1Z m1 1 h2"/>`,
		`<g id="g" aria-label="data: url(http://x)"><text class="b-c" x="1" y="-2">&lt;script&gt; NaN</text></g>`,
		`<rect class="a b-c" x="-1" y="0" width="0" height="1.50"/>`,
		`<circle fill="url(#g)" r="1"/><g id="g"/>`,
	} {
		for _, err := range Strict(sheet(body)) {
			t.Errorf("%s: %v", body, err)
		}
	}
}

func TestUnsoundSheets(t *testing.T) {
	for body, want := range map[string]string{
		`<g>`:                                         "well-formed",
		`<text class="a">&nbsp;</text>`:               "well-formed",
		"<text class=\"a\">\x01</text>":               "well-formed",
		`<g class="a" class="b-c"/>`:                  "has class twice",
		`<g class="a" style="fill:red" style = 'x'/>`: "has style twice",
		`<g id="t"/>`:                                 "used twice",
		`<g class="c"/>`:                              "has no style",
		`<g aria-describedby="t nowhere"/>`:           "nowhere",
		`<circle fill="url(#nowhere)" r="1"/>`:        "nowhere",
		`<circle fill="url(http://x/y#t)" r="1"/>`:    "outside",
		`<circle style="fill:url('x.svg#t')" r="1"/>`: "outside",
		`<path href="x.svg"/>`:                        "outside",
		`<path xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="http://x"/>`: "outside",
		`<circle r="NaN"/>`:                              "not a number",
		`<circle r="+Inf"/>`:                             "not a number",
		`<circle cx="1e999"/>`:                           "not a number",
		`<circle cx="0x10"/>`:                            "not a number",
		`<circle cx="-0.00"/>`:                           "minus zero",
		`<circle cx=""/>`:                                "not a number",
		`<circle r="-1"/>`:                               "negative",
		`<rect width="-0.1" height="1"/>`:                "negative",
		`<path d="M1,NaN"/>`:                             "path",
		`<path d="L1,1"/>`:                               "begins with",
		`<path d="M1,1L2"/>`:                             "with 1 numbers",
		`<path d="M1,1X2"/>`:                             "no command",
		`<path d="M1,1C1,1 2,2"/>`:                       "with 4 numbers",
		`<path d="M1,1Z3"/>`:                             "with 1 numbers",
		`<path d="M1,1L-0,2"/>`:                          "path",
		`<script>x</script>`:                             "not allowed",
		`<foreignObject/>`:                               "not allowed",
		`<image/>`:                                       "not allowed",
		`<g xmlns="http://www.w3.org/1999/xhtml"/>`:      "not allowed",
		`<g onload="x()"/>`:                              "handler",
		`<g ONCLICK="x()"/>`:                             "handler",
		`<style>@import "x";</style>`:                    "@import",
		`<style>.a{fill:url(data:x)}</style>`:            "data:",
		`<style>.a{stroke-width:NaN}</style>`:            "NaN",
		`<style>.a{fill:url(//x)}</style>`:               "outside",
		`<?xml-stylesheet href="x"?>`:                    "processing instruction",
		`</svg><svg xmlns="http://www.w3.org/2000/svg">`: "root element 2",
	} {
		if got := fmt.Sprint(Strict(sheet(body))); !strings.Contains(got, want) {
			t.Errorf("%s: found %s, want %q", body, got, want)
		}
	}
}

func TestUnsoundHeads(t *testing.T) {
	for from, to := range map[string]string{
		`viewBox="0 0 10 10"`: `viewBox="0 0 10"`,
		`0 0 10 10`:           `0 0 -10 10`,
		`width="10mm"`:        `width="NaNmm"`,
		`height="10mm"`:       `height="-1mm"`,
		`<svg `:               `<!DOCTYPE svg [<!ENTITY a "b">]><svg `,
		`labelledby="t d"`:    `labelledby="t e"`,
	} {
		changed := strings.Replace(string(sheet("")), from, to, 1)
		if errs := Strict([]byte(changed)); len(errs) == 0 {
			t.Errorf("%s for %s went unnoticed", to, from)
		}
	}
}
