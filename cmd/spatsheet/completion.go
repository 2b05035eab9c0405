package main

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
)

// The scripts ask the program itself, by `spatsheet --complete`, what may come next.
var (
	//go:embed completion/spatsheet.bash
	bashScript []byte
	//go:embed completion/spatsheet.zsh
	zshScript []byte
	//go:embed completion/spatsheet.fish
	fishScript []byte
	//go:embed completion/spatsheet.ps1
	powershellScript []byte
)

// shells are those with a script, in the order they are told.
var shells = []string{"bash", "zsh", "fish", "powershell"}

func scriptFor(shell string) []byte {
	return map[string][]byte{"bash": bashScript, "zsh": zshScript, "fish": fishScript, "powershell": powershellScript}[shell]
}

func (p *program) completionCommand() *cli.Command {
	return &cli.Command{
		Name:      "completion",
		Usage:     "print a script that completes commands on the Tab key",
		UsageText: "spatsheet completion {bash | zsh | fish | powershell}",
		Description: `Completes commands, flags, batch codes, protocols, settings, label stocks and
workbooks. The script asks spatsheet itself, so it stays right when spatsheet changes.

   # bash: add this line to ~/.bashrc
   eval "$(spatsheet completion bash)"

   # zsh: add this line to ~/.zshrc
   eval "$(spatsheet completion zsh)"

   # fish: run this once
   spatsheet completion fish > ~/.config/fish/completions/spatsheet.fish

   # PowerShell: add this line to the file that $PROFILE names
   spatsheet completion powershell | Out-String | Invoke-Expression`,
		Action: func(c *cli.Context) error {
			shell := strings.ToLower(c.Args().First())
			if c.NArg() != 1 || !slices.Contains(shells, shell) {
				return usageFault("name your shell, one of %s: spatsheet completion bash%s", strings.Join(shells, ", "), station.DidYouMean(shell, shells))
			}
			_, err := p.out.Write(scriptFor(shell))
			return err
		},
	}
}

// completeFlag asks what may come next: --complete =UNFINISHED WORD... gives a word a
// line, what it is behind a tab. The unfinished word stands first and behind a =, since
// some shells drop an empty one.
const completeFlag = "--complete"

// completes answers the scripts; false where the arguments ask something else.
func (p *program) completes(app *cli.App, args []string) bool {
	if len(args) < 3 || args[1] != completeFlag || !strings.HasPrefix(args[2], "=") {
		return false
	}
	for _, c := range nextWords(app, args[3:], args[2][1:]) {
		if strings.ContainsAny(c.word, "\t\n") {
			continue
		}
		if c.says == "" {
			fmt.Fprintln(p.out, c.word)
		} else {
			fmt.Fprintf(p.out, "%s\t%s\n", c.word, c.says)
		}
	}
	return true
}
