package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// protocolsFolder is where a season keeps protocols and species profiles of its own.
const protocolsFolder = "protocols"

// catalog finds protocols and profiles: the season's own, and those that ship.
type catalog struct {
	dir  string // the season's folder of protocols
	own  fs.FS  // the same
	seen *seen
}

// seen keeps what a catalog has loaded, by the name asked for: many plans, few protocols.
type seen struct {
	protocols made[*protocols.Protocol]
	profiles  made[*protocols.Profile]
}

// catalogOf looks into a season folder; it need not have protocols of its own.
func catalogOf(folder string) catalog {
	dir := filepath.Join(folder, protocolsFolder)
	return catalog{dir, os.DirFS(dir), &seen{}}
}

// ownRefs lists the season's own protocols (prefix "") or profiles (prefix "species/") as
// id@version.
func (c catalog) ownRefs(prefix string) ([]string, error) {
	names, err := protocols.Files(c.own)
	if err != nil {
		return nil, inputFault(err)
	}
	var refs []string
	for _, name := range names {
		rest, isProfile := strings.CutPrefix(name, "species/")
		if isProfile != (prefix != "") {
			continue
		}
		id, version, _ := strings.Cut(strings.TrimSuffix(rest, ".yaml"), "/")
		refs = append(refs, id+"@"+version)
	}
	return refs, nil
}

// fileOf is where a protocol, id@version, lies in a folder of protocols.
func fileOf(ref string) string { return strings.Replace(ref, "@", "/", 1) + ".yaml" }

// pick finds what a user means by ref among the season's own: id@version, or an id for
// its newest version.
func pick(refs []string, ref string) (id, version string, ok bool) {
	id, version, exact := strings.Cut(ref, "@")
	versions := protocols.ByID(refs)[id]
	if len(versions) == 0 {
		return "", "", false
	}
	if !exact {
		return id, versions[len(versions)-1], true
	}
	return id, version, slices.Contains(versions, version)
}

// choose finds what a user means by ref over the season's own and the shipped ones: an id
// alone means its newest version, wherever it is from. isOwn says whether it is the
// season's.
func choose(own, shipped []string, ref string) (chosen string, isOwn bool) {
	id, version, ok := pick(append(slices.Clone(own), shipped...), ref)
	if !ok { // looking it up among the shipped ones tells what there is
		return ref, false
	}
	chosen = id + "@" + version
	return chosen, slices.Contains(own, chosen)
}

// protocol loads a protocol by id or id@version. One of the season's own that has the name
// and version of a shipped protocol and reads otherwise is refused, since nobody could
// tell them apart later; so is a released one that was changed.
func (c catalog) protocol(ref string) (*protocols.Protocol, error) {
	return c.seen.protocols.of([]byte(ref), func() (*protocols.Protocol, error) { return c.loadProtocol(ref) })
}

func (c catalog) loadProtocol(ref string) (*protocols.Protocol, error) {
	own, err := c.ownRefs("")
	if err != nil {
		return nil, err
	}
	chosen, isOwn := choose(own, library.Refs(), ref)
	if !isOwn && !slices.Contains(library.Refs(), chosen) {
		return nil, inputFault(noSuch("protocol", ref, own, library.Refs()))
	}
	if !isOwn {
		p, err := shippedOnce(chosen)
		if err != nil {
			return nil, inputFault(err)
		}
		return p, nil
	}
	name := fileOf(chosen)
	p, err := protocols.LoadFile(c.own, name, functions.All())
	if err != nil {
		return nil, inputFault(err)
	}
	if shipped, err := shippedOnce(p.Ref()); err == nil && shipped.Digest != p.Digest {
		return nil, inputFault(fmt.Errorf("%s/%s: %s ships with spatsheet and reads otherwise; give yours another id or version", protocolsFolder, name, p.Ref()))
	}
	return p, c.unchanged(name, p.Digest)
}

// noSuch says that there is no protocol or profile of that name, and what there is: the one
// that is likely meant, or the versions of it, or else all.
func noSuch(what, ref string, own, shipped []string) error {
	all := append(slices.Clone(own), shipped...)
	id, _, _ := strings.Cut(ref, "@")
	versions := protocols.ByID(all)
	if known := versions[id]; len(known) > 0 {
		return fmt.Errorf("there is no version %q of %s; there are: %s", strings.TrimPrefix(ref, id+"@"), id, strings.Join(known, ", "))
	}
	ids := slices.Sorted(maps.Keys(versions))
	return fmt.Errorf("there is no %s %q%s", what, ref, meantOr(id, ids, "there are: "+strings.Join(ids, ", ")))
}

// draftFor tells of an id that means a protocol of the season's own that is not released
// yet; whoever names its version knows what is meant.
func (c catalog) draftFor(ref string) (chosen string, isDraft bool, err error) {
	own, err := c.ownRefs("")
	if err != nil {
		return "", false, err
	}
	chosen, isOwn := choose(own, library.Refs(), ref)
	if !isOwn || chosen == ref {
		return chosen, false, nil
	}
	list, err := readReleased(c.dir)
	if err != nil {
		return "", false, err
	}
	_, released := list[fileOf(chosen)]
	return chosen, !released, nil
}

// unchanged refuses a released file of the season that was changed since.
func (c catalog) unchanged(name, digest string) error {
	list, err := readReleased(c.dir)
	if err != nil {
		return err
	}
	if err := list.Holds(name, digest); err != nil {
		return inputFault(fmt.Errorf("%s/%w", protocolsFolder, err))
	}
	return nil
}

// profile loads a species profile by id or id@version, the season's own first.
func (c catalog) profile(ref string) (*protocols.Profile, error) {
	return c.seen.profiles.of([]byte(ref), func() (*protocols.Profile, error) { return c.loadProfile(ref) })
}

func (c catalog) loadProfile(ref string) (*protocols.Profile, error) {
	own, err := c.ownRefs("species/")
	if err != nil {
		return nil, err
	}
	chosen, isOwn := choose(own, library.ProfileRefs(), ref)
	if isOwn {
		id, version, _ := strings.Cut(chosen, "@")
		return c.ownProfile(id, version)
	}
	if !slices.Contains(library.ProfileRefs(), chosen) {
		return nil, inputFault(noSuch("species profile", ref, own, library.ProfileRefs()))
	}
	p, err := library.LoadProfile(chosen)
	if err != nil {
		return nil, inputFault(err)
	}
	return p, nil
}

func (c catalog) ownProfile(id, version string) (*protocols.Profile, error) {
	name := "species/" + id + "/" + version + ".yaml"
	text, err := fs.ReadFile(c.own, name)
	if err != nil {
		return nil, inputFault(err)
	}
	p, err := protocols.LoadProfile(name, text)
	if err != nil {
		return nil, inputFault(err)
	}
	return p, c.unchanged(name, p.Digest)
}

// profileFor finds the newest profile of a species, the season's own first; nil when
// there is none.
func (c catalog) profileFor(species string) (*protocols.Profile, error) {
	own, err := c.ownRefs("species/")
	if err != nil {
		return nil, err
	}
	versions := protocols.ByID(own)
	for _, id := range slices.Sorted(maps.Keys(versions)) {
		p, err := c.ownProfile(id, versions[id][len(versions[id])-1])
		if err != nil {
			return nil, err
		}
		if p.Species == species {
			return p, nil
		}
	}
	p, err := library.ProfileFor(species)
	if err != nil {
		return nil, inputFault(err)
	}
	return p, nil
}

// readReleased reads the list of released files of a folder; none when there is no list.
func readReleased(dir string) (protocols.Released, error) {
	name := filepath.Join(dir, releasedFile)
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return protocols.Released{}, nil
	}
	if err != nil {
		return nil, inputFault(err)
	}
	list, err := protocols.ReadReleased(text)
	if err != nil {
		return nil, inputFault(fmt.Errorf("%s: %w", name, err))
	}
	return list, nil
}

// releasedFile lists the digests of released protocols in a folder of protocols.
const releasedFile = "released.txt"
