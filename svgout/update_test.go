package svgout

import "flag"

// update rewrites golden drawings instead of comparing with them: go test ./svgout -update
var update = flag.Bool("update", false, "rewrite the golden drawings")
