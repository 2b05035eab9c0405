// Package library holds the protocols that ship with spatsheet. A released file is never
// changed: a change is a new version beside it.
package library

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"sort"
	"strings"

	"spatsheet/protocols"
	"spatsheet/protocols/formula"
)

//go:embed */*.yaml species/*/*.yaml
var files embed.FS

//go:embed released.txt
var released []byte

// Verify holds the shipped files against the list of released ones; see protocols.Verify.
func Verify(functions formula.Functions) ([]error, error) {
	list, err := protocols.ReadReleased(released)
	if err != nil {
		return nil, err
	}
	return protocols.Verify(files, list, functions)
}

// Refs lists the shipped protocols as id@version, by id, the newest version first.
func Refs() []string { return refs("") }

// ProfileRefs lists the shipped species profiles as id@version, newest versions first.
func ProfileRefs() []string { return refs("species/") }

func refs(folder string) []string {
	names, err := fs.Glob(files, folder+"*/*.yaml")
	if err != nil { // the pattern is fixed and valid
		panic(err)
	}
	var refs []string
	for _, name := range names {
		refs = append(refs, path.Base(path.Dir(name))+"@"+strings.TrimSuffix(path.Base(name), ".yaml"))
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
	return protocols.CompareVersions(versionA, versionB) > 0
}

// fileOf finds the file of id@version, or of an id's newest version, among refs.
func fileOf(refs []string, ref string) (name string, ok bool) {
	for _, known := range refs {
		id, version, _ := strings.Cut(known, "@")
		if known == ref || id == ref {
			return id + "/" + version + ".yaml", true
		}
	}
	return "", false
}

// Load reads a shipped protocol. ref is id@version, or an id alone for its newest version;
// functions as in protocols.Load.
//
// Error: nothing of that name ships, with the list of what does; or that of protocols.Load.
func Load(ref string, functions formula.Functions) (*protocols.Protocol, error) {
	name, ok := fileOf(Refs(), ref)
	if !ok {
		return nil, fmt.Errorf("there is no protocol %q; there are: %s", ref, strings.Join(Refs(), ", "))
	}
	return protocols.LoadFile(files, name, functions)
}

// LoadProfile reads a shipped species profile; ref as in Load.
//
// Error: nothing of that name ships, with the list of what does; or that of
// protocols.LoadProfile.
func LoadProfile(ref string) (*protocols.Profile, error) {
	name, ok := fileOf(ProfileRefs(), ref)
	if !ok {
		return nil, fmt.Errorf("there is no species profile %q; there are: %s", ref, strings.Join(ProfileRefs(), ", "))
	}
	name = "species/" + name
	text, err := files.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return protocols.LoadProfile(name, text)
}

// ProfileFor gives the newest shipped profile of a species; nil when there is none.
func ProfileFor(species string) (*protocols.Profile, error) {
	for _, ref := range ProfileRefs() {
		p, err := LoadProfile(ref)
		if err != nil {
			return nil, err
		}
		if p.Species == species {
			return p, nil
		}
	}
	return nil, nil
}
