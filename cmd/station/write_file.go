package station

import (
	"fmt"
	"os"
	"path/filepath"
)

// WriteWhole writes a file whole or not at all: into a temporary file beside it, then
// moved into place. It refuses to overwrite unless replace is set.
func WriteWhole(name string, replace bool, write func(f *os.File) error) error {
	if err := NotThere(name, replace); err != nil {
		return err
	}
	ready, err := WriteBeside(name, write)
	if err != nil {
		return err
	}
	return PutInPlace(ready, name)
}

// WriteBeside writes a file whole into a temporary file beside its place, and names that;
// after an error there is none.
func WriteBeside(name string, write func(f *os.File) error) (ready string, err error) {
	fail := func(err error) (string, error) { return "", ofInput(WriteFault(name, err)) }
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return fail(err)
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".spatsheet-*")
	if err != nil {
		return fail(err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		return fail(err)
	}
	if err := f.Sync(); err != nil {
		return fail(err)
	}
	if err := f.Chmod(0o644); err != nil {
		return fail(err)
	}
	if err := f.Close(); err != nil {
		return fail(err)
	}
	return f.Name(), nil
}

// PutInPlace moves a file that writeBeside wrote into its place, or away.
func PutInPlace(ready, name string) error {
	if err := os.Rename(ready, name); err != nil {
		os.Remove(ready)
		return ofInput(WriteFault(name, err))
	}
	return nil
}

// NotThere refuses a file that is there, unless it may be replaced.
func NotThere(name string, replace bool) error {
	if _, err := os.Stat(name); err == nil && !replace {
		return &Fault{Kind: ErrInput, Err: fmt.Errorf("%s is there already", name), Remedy: Replace}
	}
	return nil
}

// WriteNew is writeWhole for a file that must not be there yet; remedy says what to do
// when it is.
func WriteNew(name string, content []byte, remedy string) error {
	if _, err := os.Stat(name); err == nil {
		return ofInput(fmt.Errorf("%s is there already; %s", name, remedy))
	}
	return WriteBytes(name, false, content)
}

// WriteBytes is writeWhole for content at hand.
func WriteBytes(name string, replace bool, content []byte) error {
	return WriteWhole(name, replace, func(f *os.File) error {
		_, err := f.Write(content)
		return err
	})
}
