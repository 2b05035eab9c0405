package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
	"spatsheet/templates"
)

// installed is the first of the tools that is there; none skips a test, and in CI fails it.
func installed(t *testing.T, tools ...string) string {
	t.Helper()
	for _, tool := range tools {
		if path, err := exec.LookPath(tool); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%q is not installed; .ci/run installs it", tools)
	}
	t.Skipf("%q is not installed", tools)
	return ""
}

// python is Debian's own where it is there: what stands before it on the path may be a
// script that takes ten times as long to start.
func python(t *testing.T) string {
	t.Helper()
	return installed(t, "/usr/bin/python3", "python3")
}

// completionFolder is a season folder with two plans and a filled workbook.
func completionFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{
		station.SiteFile: string(templates.Site), "plans/KS-26-01.yaml": "", "plans/KS-26-02.yaml": "",
		"filled/KS 01.xlsx": "", "filled/~$KS 01.xlsx": "", "filled/notes.txt": "",
	} {
		name = filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestCompleteProposes(t *testing.T) {
	t.Chdir(completionFolder(t))
	sep := string(filepath.Separator)
	for name, c := range map[string]struct{ words, word, want string }{
		"commands":                    {"", "pr", "protocols print"},
		"subcommands":                 {"protocols", "l", "list lock"},
		"questions":                   {"bench", "sal", "salinity"},
		"flags":                       {"print", "--label", "--labels --label-start"},
		"a flag once":                 {"print --labels a4-3x8", "--label", "--label-start"},
		"a flag that may be repeated": {"plan --set females=3", "--se", "--set"},
		"batches":                     {"print", "", "KS-26-01 KS-26-02"},
		"batches in small letters":    {"print", "ks-26-02", "KS-26-02"},
		"batches not named yet":       {"print KS-26-01", "", "KS-26-02"},
		"batches of a folder":         {"print --folder nowhere", "", ""},
		"batches as parents":          {"plan --parent", "KS-26-01", "KS-26-01"},
		"plan files":                  {"print", "plans" + sep + "KS-26-01", "plans" + sep + "KS-26-01.yaml"},
		"protocols":                   {"protocols show", "lim", "limpet-spawning"},
		"versions":                    {"protocols show", "diatom-culture@", "diatom-culture@1.0.0"},
		"profiles":                    {"plan --profile", "patella", "patella-aspera"},
		"protocols behind =":          {"plan", "--protocol=go", "--protocol=gonad-check"},
		"label stocks":                {"print --labels", "letter-2", "letter-2x5"},
		"settings of the protocol":    {"plan --protocol limpet-spawning --set", "fem", "females="},
		"settings of the usual one":   {"calendar --set", "fem", "females="},
		"folders":                     {"check", "f", "filled" + sep},
		"workbooks, no lock files":    {"check", "filled" + sep, "filled" + sep + "KS 01.xlsx"},
		"shells":                      {"completion", "", "bash zsh fish powershell"},
		"nothing for free text":       {"plan --note", "", ""},
		"nothing behind the unknown":  {"nonsense", "x", ""},
	} {
		t.Run(name, func(t *testing.T) {
			p := &program{out: &bytes.Buffer{}, talk: &bytes.Buffer{}, now: time.Now}
			var got []string
			for _, next := range nextWords(p.app(), strings.Fields(c.words), c.word) {
				got = append(got, next.word)
			}
			if strings.Join(got, " ") != c.want {
				t.Errorf("%s %s|: got %q, want %q", c.words, c.word, got, c.want)
			}
		})
	}
}

// bashTry is a line typed in bash, the words bash makes of it, and what it shows.
const bashTry = `
source /dev/stdin <<<"$(spatsheet completion bash)"
try() {
  COMP_LINE=$1 COMP_POINT=${#1}; shift
  COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) COMPREPLY=()
  _spatsheet spatsheet
  printf '%s ->' "$COMP_LINE"; ((${#COMPREPLY[@]})) && printf ' [%s]' "${COMPREPLY[@]}"; echo
}
try 'spatsheet pri' spatsheet pri
try 'spatsheet print ' spatsheet print ''
try 'spatsheet print --labels=letter-2' spatsheet print --labels = letter-2
try 'spatsheet protocols show diatom-culture@' spatsheet protocols show diatom-culture @
try 'spatsheet protocols show limpet-spawning@1.0' spatsheet protocols show limpet-spawning @ 1.0
try 'spatsheet plan --species "Patella vulgata" --protocol gona' spatsheet plan --species '"Patella vulgata"' --protocol gona
try 'spatsheet check filled/' spatsheet check filled/
try 'spatsheet print $(touch ran) KS-26-01 ' spatsheet print '$(touch ran)' KS-26-01 ''
`

const bashWants = `spatsheet pri -> [print]
spatsheet print  -> [KS-26-01] [KS-26-02]
spatsheet print --labels=letter-2 -> [letter-2x5]
spatsheet protocols show diatom-culture@ -> [1.0.0]
spatsheet protocols show limpet-spawning@1.0 -> [1.0.0]
spatsheet plan --species "Patella vulgata" --protocol gona -> [gonad-check]
spatsheet check filled/ -> [filled/KS 01.xlsx]
spatsheet print $(touch ran) KS-26-01  -> [KS-26-02]
`

// inShell gives what a shell prints that runs a text in a folder.
func inShell(t *testing.T, folder string, shell ...string) string {
	t.Helper()
	installed(t, shell[0])
	c := exec.Command(shell[0], shell[1:]...)
	c.Dir = folder
	out, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %v\n%s", shell[0], err, out)
	}
	return string(out)
}

func TestBashCompletes(t *testing.T) {
	folder := completionFolder(t)
	if got := inShell(t, folder, "bash", "--norc", "-c", bashTry); got != bashWants {
		t.Errorf("got\n%swant\n%s", got, bashWants)
	}
	if there(filepath.Join(folder, "ran")) {
		t.Error("completing ran a command of the line")
	}
}

func TestFishCompletes(t *testing.T) {
	got := inShell(t, completionFolder(t), "fish", "--no-config", "-c", `spatsheet completion fish | source
complete -C "spatsheet print "
complete -C "spatsheet print --labels letter-2"`)
	want := "KS-26-01\nKS-26-02\nletter-2x5\tLetter, 2 x 5 labels of 101.6 x 50.8 mm\n"
	if got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// In zsh the functions that show candidates need a person's line; here they print.
func TestZshCompletes(t *testing.T) {
	got := inShell(t, completionFolder(t), "zsh", "-f", "-c", `
compdef() { print "compdef $*" }
_describe() { print -l -- "${(@P)3}" }
compadd() { shift 3; print -l -- "$@" }
eval "$(spatsheet completion zsh)"
words=(spatsheet print --labels letter-2) CURRENT=4 PREFIX=letter-2; _spatsheet
words=(spatsheet print "") CURRENT=3 PREFIX=; _spatsheet
words=(spatsheet check f) CURRENT=3 PREFIX=f; _spatsheet`)
	want := "compdef _spatsheet spatsheet\nletter-2x5:Letter, 2 x 5 labels of 101.6 x 50.8 mm\nKS-26-01\nKS-26-02\nfilled/\n"
	if got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// PowerShell is not tried: only that its script asks as the others do.
func TestPowershellScript(t *testing.T) {
	for _, part := range []string{"Register-ArgumentCompleter -Native -CommandName spatsheet", `--complete "=$unfinished" @words`, "CompletionResult"} {
		if !strings.Contains(string(powershellScript), part) {
			t.Errorf("the script lacks %q", part)
		}
	}
	if bytes.ContainsFunc(powershellScript, func(r rune) bool { return r > '~' }) {
		t.Error("the script holds letters that Windows PowerShell 5 reads otherwise without a byte order mark")
	}
}

func TestManualPage(t *testing.T) {
	var page bytes.Buffer
	p := &program{out: &page, talk: &bytes.Buffer{}, now: time.Now}
	app := p.app()
	needs(t, writeMan(&page, app))
	everyCommand(app.Commands, "spatsheet", func(called string, c *cli.Command) {
		if text := page.String(); !strings.Contains(text, ".SH "+called+"\n") && !strings.Contains(text, ".SS "+called+"\n") {
			t.Errorf("the page lacks %s", called)
		}
		for _, f := range c.Flags {
			if !strings.Contains(page.String(), dashed(f.Names()[0])) {
				t.Errorf("the page lacks %s of %s", f.Names()[0], called)
			}
		}
	})
	for _, part := range []string{".SH EXIT STATUS", ".SH FILES", station.LogFile, "\n# an older version; a species profile\n", "spatsheet protocols new <id"} {
		if !strings.Contains(page.String(), part) {
			t.Errorf("the page lacks %s", part)
		}
	}
	name := filepath.Join(t.TempDir(), "spatsheet.1")
	if err := os.WriteFile(name, page.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if got := inShell(t, ".", "mandoc", "-Tlint", "-Wwarning", name); got != "" {
		t.Errorf("mandoc: %s", got)
	}
}

func everyCommand(list []*cli.Command, above string, do func(called string, c *cli.Command)) {
	for _, c := range list {
		do(above+" "+c.Name, c)
		everyCommand(c.Subcommands, above+" "+c.Name, do)
	}
}

// Every command's help has an example that can be typed, its usage line and the exit codes.
func TestHelpOfEveryCommand(t *testing.T) {
	p := &program{out: &bytes.Buffer{}, talk: &bytes.Buffer{}, now: time.Now}
	everyCommand(p.app().Commands, "spatsheet", func(called string, c *cli.Command) {
		if !strings.Contains(c.Description, "\n   "+called) && !strings.Contains(c.Description, " "+called+" ") {
			t.Errorf("%s: no example in its help", called)
		}
		if c.UsageText == "" && len(c.Subcommands) == 0 {
			t.Errorf("%s: no usage line", called)
		}
		if !strings.Contains(c.Description, exitCodesHelp) {
			t.Errorf("%s: no exit codes in its help", called)
		}
	})
}

// A flag has one kind and one name for its value wherever it stands; the completion relies
// on it. Questions of bench name their inputs, each for itself.
func TestFlagsMeanTheSameEverywhere(t *testing.T) {
	p := &program{out: &bytes.Buffer{}, talk: &bytes.Buffer{}, now: time.Now}
	first := map[string]string{}
	everyCommand(p.app().Commands, "spatsheet", func(called string, c *cli.Command) {
		if strings.HasPrefix(called, "spatsheet bench ") {
			return
		}
		for _, f := range c.Flags {
			if f == cli.HelpFlag {
				continue
			}
			kind := "switch"
			if d := f.(cli.DocGenerationFlag); d.TakesValue() {
				parts := strings.Split(d.GetUsage(), "`")
				if len(parts) < 3 {
					t.Errorf("%s --%s: its value has no name in the help", called, f.Names()[0])
					continue
				}
				kind = parts[1]
			}
			name := f.Names()[0]
			if first[name] == "" {
				first[name] = kind
			} else if first[name] != kind {
				t.Errorf("%s --%s is a %s, elsewhere a %s", called, name, kind, first[name])
			}
		}
	})
}
