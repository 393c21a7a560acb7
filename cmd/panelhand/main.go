// Command panelhand is a lighting coach for location portrait crews: one
// short message in, a set-up with computed numbers out.
package main

import "os"

func main() {
	p := process{args: os.Args[1:], in: os.Stdin, out: os.Stdout, err: os.Stderr, getenv: os.Getenv}
	os.Exit(p.run())
}
