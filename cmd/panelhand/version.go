package main

import (
	"fmt"
	"runtime/debug"
)

// version prints the module's version as the toolchain stamped it.
func (p process) version(args []string) error {
	if len(args) > 0 {
		return usageError{p.usage("version")}
	}
	version := "(built from source)"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		version = info.Main.Version
	}
	_, err := fmt.Fprintln(p.out, "panelhand", version)
	return err
}
