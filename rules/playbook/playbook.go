// Package playbook holds the house playbook: YAML only, no logic.
package playbook

import "embed"

// Files is the house playbook as rules.Load reads it.
//
//go:embed *.yaml */*.yaml
var Files embed.FS
