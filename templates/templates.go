// Package templates holds the starter files that `spatsheet start` lays into a new season
// folder.
package templates

import _ "embed"

// Site is a commented site file of an invented station.
//
//go:embed site.yaml
var Site []byte

// Protocol is a small protocol that works, with comments, to start a new one from.
//
//go:embed protocol.yaml
var Protocol []byte
