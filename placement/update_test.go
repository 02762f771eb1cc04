package placement

import "flag"

var update = flag.Bool("update", false, "rewrite golden files")
