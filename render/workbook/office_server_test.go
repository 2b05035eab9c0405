package workbook

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// TestMain ends the office programs that tests started.
func TestMain(m *testing.M) {
	code := m.Run()
	offices.end()
	os.Exit(code)
}

// office is LibreOffice with a locale and a profile of its own, so that no other run is in
// its way; it answers scripts on a pipe.
type office struct {
	folder, pipe, interpreter string
	server                    *exec.Cmd
}

// running are the offices started so far, by locale: one serves every test.
type running struct {
	sync.Mutex
	byLocale map[string]*office
}

var offices = &running{byLocale: map[string]*office{}}

// officeStarts is how often a start is tried: on a busy computer the bridge between Python
// and LibreOffice was seen to fail before it answered. Work is never tried again.
const officeStarts = 3

// with gives the office of a locale.
func (r *running) with(t *testing.T, locale string) *office {
	t.Helper()
	program, interpreter := tool(t, "soffice", "libreoffice"), python(t, "uno")
	r.Lock()
	defer r.Unlock()
	if o := r.byLocale[locale]; o != nil {
		return o
	}
	var faults error
	for range officeStarts {
		o, err := startOffice(program, interpreter, locale)
		if err == nil {
			r.byLocale[locale] = o
			return o
		}
		faults = errors.Join(faults, err)
	}
	t.Fatalf("LibreOffice did not start in %d tries:\n%v", officeStarts, faults)
	return nil
}

func (r *running) end() {
	for _, o := range r.byLocale {
		o.end()
	}
}

// startOffice starts LibreOffice and waits until it answers.
func startOffice(program, interpreter, locale string) (*office, error) {
	folder, err := os.MkdirTemp("", "spatsheet-office")
	if err != nil {
		return nil, err
	}
	o := &office{folder: folder, pipe: filepath.Base(folder), interpreter: interpreter}
	user := filepath.Join(folder, "profile", "user")
	if err := errors.Join(os.MkdirAll(user, 0o755),
		os.WriteFile(filepath.Join(user, "registrymodifications.xcu"), []byte(localeSetting(locale)), 0o644)); err != nil {
		o.end()
		return nil, err
	}
	o.server = exec.Command(program, "-env:UserInstallation=file://"+filepath.Join(folder, "profile"), "--headless", "--norestore", "--nologo",
		"--accept=pipe,name="+o.pipe+";urp;")
	if err := o.server.Start(); err != nil {
		o.end()
		return nil, err
	}
	if out, err := exec.Command(interpreter, "testdata/answers_uno.py", o.pipe).CombinedOutput(); err != nil {
		o.end()
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	return o, nil
}

// end asks LibreOffice to stop, and kills it if it does not.
func (o *office) end() {
	if o.server != nil && o.server.Process != nil {
		_ = exec.Command(o.interpreter, "testdata/answers_uno.py", o.pipe, "end").Run() // its bridge goes down meanwhile
		timer := time.AfterFunc(10*time.Second, func() { _ = o.server.Process.Kill() })
		_ = o.server.Wait()
		timer.Stop()
	}
	_ = os.RemoveAll(o.folder)
}

// officeScript has LibreOffice with a locale do what a script of testdata says.
func officeScript(t *testing.T, locale, script string, arguments ...string) {
	t.Helper()
	o := offices.with(t, locale)
	run(t, python(t, "uno"), append([]string{"testdata/" + script, o.pipe}, arguments...)...)
}

func localeSetting(locale string) string {
	return `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>` + locale + `</value></prop></item>
</oor:items>`
}
