package protocols

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"spatsheet/protocols/document"
	"spatsheet/protocols/formula"
	"spatsheet/protocols/remedy"
)

// Released are the digests of released files by name, such as
// "limpet-spawning/1.0.0.yaml": a released file is never changed.
type Released map[string]string

// ReadReleased reads a list of released files: a line for each, digest and name.
//
// Error: a line that is not a SHA-256 in hex, two blanks and a name, with its number.
func ReadReleased(text []byte) (Released, error) {
	list := Released{}
	lines := bufio.NewScanner(bytes.NewReader(text))
	for n := 1; lines.Scan(); n++ {
		line := strings.TrimSpace(lines.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		digest, name, ok := strings.Cut(line, "  ")
		if raw, err := hex.DecodeString(digest); !ok || err != nil || len(raw) != sha256.Size {
			return nil, document.Fault{Says: fmt.Sprintf("line %d: %q is not a digest, two blanks and a file name", n,
				line), Remedy: remedy.Remedy{Kind: remedy.LockProtocols}}
		}
		list[strings.TrimSpace(name)] = digest
	}
	return list, lines.Err()
}

// Text writes the list, sorted by name.
func (r Released) Text() []byte {
	var b bytes.Buffer
	b.WriteString("# Released protocols: SHA-256 and file. Written by `spatsheet protocols lock`; never by hand.\n")
	for _, name := range slices.Sorted(maps.Keys(r)) {
		fmt.Fprintf(&b, "%s  %s\n", r[name], name)
	}
	return b.Bytes()
}

// Files lists the protocol and species files of a folder: ID/VERSION.yaml and
// species/ID/VERSION.yaml.
func Files(fsys fs.FS) ([]string, error) {
	var names []string
	for _, pattern := range []string{"*/*.yaml", "species/*/*.yaml"} {
		found, err := fs.Glob(fsys, pattern)
		if err != nil {
			return nil, err
		}
		names = append(names, found...)
	}
	slices.Sort(names)
	return names, nil
}

// Verify loads every file of a folder and holds it against its name and the released
// digests. It gives the faults in words, by file; none when all is well.
func Verify(fsys fs.FS, released Released, functions formula.Functions) ([]error, error) {
	names, err := Files(fsys)
	if err != nil {
		return nil, err
	}
	var faults []error
	for _, name := range names {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		faults = append(faults, verifyOne(name, text, released, functions)...)
	}
	for _, name := range slices.Sorted(maps.Keys(released)) {
		if !slices.Contains(names, name) {
			faults = append(faults, fmt.Errorf("%s: this released file is gone; bring it back, batches were printed from it", name))
		}
	}
	return faults, nil
}

func verifyOne(name string, text []byte, released Released, functions formula.Functions) []error {
	var faults []error
	ref, err := refOf(name, text, functions)
	if err != nil {
		faults = append(faults, err)
	} else if want := path.Base(path.Dir(name)) + "@" + strings.TrimSuffix(path.Base(name), ".yaml"); ref != want {
		faults = append(faults, fmt.Errorf("%s: it says it is %s; name the file ID/VERSION.yaml, or correct the two keys", name, ref))
	}
	if err := released.Holds(name, DigestOf(text)); err != nil {
		faults = append(faults, err)
	}
	return faults
}

// Holds refuses a released file that reads otherwise than it was released; a file that is
// not released may read as it likes.
func (r Released) Holds(name, digest string) error {
	if want, ok := r[name]; ok && want != digest {
		return fmt.Errorf("%s: this released file was changed; put it back as it was and write the change as a new version", name)
	}
	return nil
}

func refOf(name string, text []byte, functions formula.Functions) (string, error) {
	if strings.HasPrefix(name, "species/") {
		p, err := LoadProfile(name, text)
		if err != nil {
			return "", err
		}
		return p.Ref(), nil
	}
	p, err := Load(name, text, functions)
	if err != nil {
		return "", err
	}
	return p.Ref(), nil
}

// Lock adds every file of a folder to the released ones. A file that is released already
// and reads otherwise is refused.
func Lock(fsys fs.FS, released Released, functions formula.Functions) (Released, error) {
	faults, err := Verify(fsys, released, functions)
	if err != nil {
		return nil, err
	}
	if len(faults) > 0 {
		return nil, faults[0]
	}
	names, err := Files(fsys)
	if err != nil {
		return nil, err
	}
	out := maps.Clone(released)
	for _, name := range names {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		out[name] = DigestOf(text)
	}
	return out, nil
}

// DigestOf is the SHA-256 of a text, in hex.
func DigestOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
