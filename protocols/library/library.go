// Package library holds the protocols that ship with spatsheet. A released file is never
// changed: a change is a new version beside it.
package library

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"sort"
	"strconv"
	"strings"

	"spatsheet/protocols"
)

//go:embed */*.yaml
var files embed.FS

// Refs lists the shipped protocols as id@version, by id, the newest version first.
func Refs() []string {
	names, err := fs.Glob(files, "*/*.yaml")
	if err != nil { // the pattern is fixed and valid
		panic(err)
	}
	var refs []string
	for _, name := range names {
		refs = append(refs, path.Dir(name)+"@"+strings.TrimSuffix(path.Base(name), ".yaml"))
	}
	sort.Slice(refs, func(i, j int) bool { return newer(refs[i], refs[j]) })
	return refs
}

func newer(a, b string) bool {
	idA, versionA, _ := strings.Cut(a, "@")
	idB, versionB, _ := strings.Cut(b, "@")
	if idA != idB {
		return idA < idB
	}
	partsA, partsB := strings.Split(versionA, "."), strings.Split(versionB, ".")
	for i := range min(len(partsA), len(partsB)) {
		x, errX := strconv.Atoi(partsA[i])
		y, errY := strconv.Atoi(partsB[i])
		if errX == nil && errY == nil && x != y {
			return x > y
		}
	}
	return versionA > versionB
}

// Load reads a shipped protocol. ref is id@version, or an id alone for its newest version.
//
// Error: nothing of that name ships, with the list of what does; or that of protocols.Load.
func Load(ref string) (*protocols.Protocol, error) {
	for _, known := range Refs() {
		id, version, _ := strings.Cut(known, "@")
		if known == ref || id == ref {
			return protocols.LoadFile(files, id+"/"+version+".yaml")
		}
	}
	return nil, fmt.Errorf("there is no protocol %q; there are: %s", ref, strings.Join(Refs(), ", "))
}
