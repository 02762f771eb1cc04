// Command fairlead checks planned suture bites on the tricuspid valve's rim and draws them. See README.md.
package main

import "os"

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
