package station

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"spatsheet/calc"
	"spatsheet/calc/functions"
	"spatsheet/protocols"
	"spatsheet/protocols/library"
)

// OwnRefs lists the season's own protocols (prefix "") or profiles (prefix "species/") as
// id@version.
func (f *Folder) OwnRefs(prefix string) ([]string, error) {
	names, err := protocols.Files(f.own)
	if err != nil {
		return nil, ofInput(err)
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

// Protocol loads a protocol by id or id@version. One of the season's own that has the name
// and version of a shipped protocol and reads otherwise is refused, since nobody could
// tell them apart later; so is a released one that was changed.
func (f *Folder) Protocol(ref string) (*protocols.Protocol, error) {
	return f.named.of([]byte(ref), func() (*protocols.Protocol, error) { return f.loadProtocol(ref) })
}

func (f *Folder) loadProtocol(ref string) (*protocols.Protocol, error) {
	own, err := f.OwnRefs("")
	if err != nil {
		return nil, err
	}
	chosen, isOwn := choose(own, library.Refs(), ref)
	if !isOwn && !slices.Contains(library.Refs(), chosen) {
		return nil, ofInput(noSuch("protocol", ref, own, library.Refs()))
	}
	if !isOwn {
		p, err := f.shippedOnce(chosen)
		if err != nil {
			return nil, ofInput(err)
		}
		return p, nil
	}
	name := fileOf(chosen)
	p, err := protocols.LoadFile(f.own, name, functions.All())
	if err != nil {
		return nil, ofInput(err)
	}
	if shipped, err := f.shippedOnce(p.Ref()); err == nil && shipped.Digest != p.Digest {
		return nil, ofInput(fmt.Errorf("%s/%s: %s ships with spatsheet and reads otherwise; give yours another id or version", ProtocolsFolder, name, p.Ref()))
	}
	return p, f.unchanged(name, p.Digest)
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
	return fmt.Errorf("there is no %s %q%s", what, ref, cmp.Or(DidYouMean(id, ids), "; there are: "+strings.Join(ids, ", ")))
}

// Neither says what there is where ref is no protocol and no profile; a fault of one that is
// there stays as it is.
func (f *Folder) Neither(ref string, fault error) error {
	refs := append(library.Refs(), library.ProfileRefs()...)
	for _, prefix := range []string{"", "species/"} {
		own, err := f.OwnRefs(prefix)
		if err != nil {
			return err
		}
		refs = append(refs, own...)
	}
	id, _, _ := strings.Cut(ref, "@")
	if len(protocols.ByID(refs)[id]) > 0 {
		return fault
	}
	return ofInput(noSuch("protocol or species profile", ref, nil, refs))
}

// DraftFor tells of an id that means a protocol of the season's own that is not released
// yet; whoever names its version knows what is meant.
func (f *Folder) DraftFor(ref string) (chosen string, isDraft bool, err error) {
	own, err := f.OwnRefs("")
	if err != nil {
		return "", false, err
	}
	chosen, isOwn := choose(own, library.Refs(), ref)
	if !isOwn || chosen == ref {
		return chosen, false, nil
	}
	list, err := ReadReleased(f.File(ProtocolsFolder))
	if err != nil {
		return "", false, err
	}
	_, released := list[fileOf(chosen)]
	return chosen, !released, nil
}

// unchanged refuses a released file of the season that was changed since.
func (f *Folder) unchanged(name, digest string) error {
	list, err := ReadReleased(f.File(ProtocolsFolder))
	if err != nil {
		return err
	}
	if err := list.Holds(name, digest); err != nil {
		return ofInput(fmt.Errorf("%s/%w", ProtocolsFolder, err))
	}
	return nil
}

// Profile loads a species profile by id or id@version, the season's own first.
func (f *Folder) Profile(ref string) (*protocols.Profile, error) {
	return f.profiles.of([]byte(ref), func() (*protocols.Profile, error) { return f.loadProfile(ref) })
}

func (f *Folder) loadProfile(ref string) (*protocols.Profile, error) {
	own, err := f.OwnRefs("species/")
	if err != nil {
		return nil, err
	}
	chosen, isOwn := choose(own, library.ProfileRefs(), ref)
	if isOwn {
		id, version, _ := strings.Cut(chosen, "@")
		return f.ownProfile(id, version)
	}
	if !slices.Contains(library.ProfileRefs(), chosen) {
		return nil, ofInput(noSuch("species profile", ref, own, library.ProfileRefs()))
	}
	p, err := library.LoadProfile(chosen)
	if err != nil {
		return nil, ofInput(err)
	}
	return p, nil
}

func (f *Folder) ownProfile(id, version string) (*protocols.Profile, error) {
	name := "species/" + id + "/" + version + ".yaml"
	text, err := fs.ReadFile(f.own, name)
	if err != nil {
		return nil, ofInput(err)
	}
	p, err := protocols.LoadProfile(name, text)
	if err != nil {
		return nil, ofInput(err)
	}
	return p, f.unchanged(name, p.Digest)
}

// ProfileFor finds the newest profile of a species, the season's own first; nil when
// there is none.
func (f *Folder) ProfileFor(species string) (*protocols.Profile, error) {
	own, err := f.OwnRefs("species/")
	if err != nil {
		return nil, err
	}
	versions := protocols.ByID(own)
	for _, id := range slices.Sorted(maps.Keys(versions)) {
		p, err := f.ownProfile(id, versions[id][len(versions[id])-1])
		if err != nil {
			return nil, err
		}
		if p.Species == species {
			return p, nil
		}
	}
	p, err := library.ProfileFor(species)
	if err != nil {
		return nil, ofInput(err)
	}
	return p, nil
}

// ReadReleased reads the list of released files of a folder; none when there is no list.
func ReadReleased(dir string) (protocols.Released, error) {
	name := filepath.Join(dir, ReleasedFile)
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return protocols.Released{}, nil
	}
	if err != nil {
		return nil, ofInput(err)
	}
	list, err := protocols.ReadReleased(text)
	if err != nil {
		return nil, ofInput(fmt.Errorf("%s: %w", name, err))
	}
	return list, nil
}

// ReleasedFile lists the digests of released protocols in a folder of protocols.
const ReleasedFile = "released.txt"

// sameAsProfile refuses a plan whose species values are not those of the profile it
// names: a value of one's own belongs under settings.
func (f *Folder) sameAsProfile(plan calc.Plan) error {
	if plan.Profile == "" {
		return nil
	}
	profile, err := f.Profile(plan.Profile)
	if err != nil {
		return err
	}
	var faults []error
	for _, id := range slices.Sorted(maps.Keys(plan.Values)) {
		v, ok := profile.Value(id)
		if written := plan.Values[id]; !ok || v.Quantity.String() != written.Text {
			faults = append(faults, fmt.Errorf("%s: %s is not what %s says (%s); write a value of your own under "+
				"settings", written.Place, id, profile.Ref(), v.Quantity))
		}
	}
	if len(faults) > 0 {
		return ofInput(errors.Join(faults...))
	}
	return nil
}
