// Package templates holds the starter files of a season folder, and the pages for those who
// work with it; what is not embedded is there to be read.
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

// BenchWorker is the page for the person who fills the sheets in.
//
//go:embed for-the-bench-worker.md
var BenchWorker []byte

// Mistakes is a table of likely mistakes, with what spatsheet says and what to do.
//
//go:embed mistakes.md
var Mistakes []byte
