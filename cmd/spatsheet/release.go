package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/calc/functions"
	"spatsheet/cmd/station"
	"spatsheet/protocols"
	"spatsheet/protocols/document"
	"spatsheet/protocols/library"
	"spatsheet/protocols/quantity"
	"spatsheet/templates"
)

func (p *program) newProtocolCommand() *cli.Command {
	return &cli.Command{
		Name: "new", Usage: "start a protocol of your own", UsageText: "spatsheet protocols new <id[@version]> [--from <id[@version]>]",
		Description: `Writes protocols/ID/VERSION.yaml in the season folder: a small working protocol with
comments, or a copy of another to change. Run verify until it is content.

   # from the skeleton, as version 0.1.0
   spatsheet protocols new our-spawning

   # a version of your own of a shipped protocol
   spatsheet protocols new limpet-spawning@2.9.0 --from limpet-spawning`,
		Flags: []cli.Flag{folderFlag(), &cli.StringFlag{Name: "from", Usage: "a `PROTOCOL` to copy instead of the skeleton"}},
		Action: func(c *cli.Context) error {
			id, version, given := strings.Cut(c.Args().First(), "@")
			if !given {
				version = "0.1.0"
			}
			if c.NArg() != 1 || !protocols.IsID(id) || id == "species" || !protocols.IsVersion(version) {
				return usageFault("name the protocol in small letters, digits and hyphens, with a version of three " +
					"numbers if not 0.1.0: spatsheet protocols new our-spawning@0.1.0")
			}
			if slices.Contains(library.Refs(), id+"@"+version) {
				return usageFault("%s@%s ships with spatsheet; give yours another id or version", id, version)
			}
			return p.newProtocol(folderOf(c), id, version, c.String("from"))
		},
	}
}

var (
	// The lines of a protocol file that say what it is, and where its change notes begin.
	protocolLine = regexp.MustCompile(`(?m)^protocol: .*$`)
	versionLine  = regexp.MustCompile(`(?m)^version: \S+`)
	changesLine  = regexp.MustCompile(`(?m)^changes:.*\n`)
)

func (p *program) newProtocol(folder *station.Folder, id, version, from string) error {
	text := string(templates.Protocol)
	note := ""
	if from != "" {
		source, err := folder.Protocol(from)
		if err != nil {
			return err
		}
		text, note = string(source.Text), fmt.Sprintf("  - {version: %s, note: \"copied from %s; say here what you change\"}\n", version, source.Ref())
	}
	text = protocolLine.ReplaceAllString(text, "protocol: "+id)
	text = versionLine.ReplaceAllString(text, "version: "+version)
	if note != "" {
		text = changesLine.ReplaceAllString(text, "${0}"+note)
	} else {
		text = strings.ReplaceAll(text, "{version: 0.1.0, note", "{version: "+version+", note")
	}
	name := folder.File(station.ProtocolsFolder, id, version+".yaml")
	if err := station.WriteNew(name, []byte(text), "choose another id or version, or change that file"); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "wrote %s\nnext: change it, then spatsheet protocols verify%s\n", name, inFolder(folder))
	return nil
}

// dirFlag names a folder of protocols; the season's own by default.
func dirFlag() cli.Flag {
	return &cli.StringFlag{Name: "dir", Usage: "a `FOLDER` of protocols (default: protocols in the season folder)"}
}

func protocolsDir(c *cli.Context) string {
	if dir := c.String("dir"); dir != "" {
		return dir
	}
	return folderOf(c).File(station.ProtocolsFolder)
}

func (p *program) verifyCommand() *cli.Command {
	return &cli.Command{
		Name: "verify", Usage: "check the season's own protocols, and that released ones are unchanged",
		UsageText: "spatsheet protocols verify [--folder <folder> | --dir <folder>]",
		Description: `Tells every fault with file, line, column and what to do, and whether a released file
was changed; of a good file which parts of the season report it feeds, and which a shipped
protocol of its stage feeds and it does not: tells: in the file declares them.

   spatsheet protocols verify`,
		Flags: []cli.Flag{folderFlag(), dirFlag()},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("verify takes no %q; it looks at every file of the folder", c.Args().First())
			}
			return p.verify(protocolsDir(c))
		},
	}
}

func (p *program) verify(dir string) error {
	shipped, err := library.Verify(functions.All())
	if err != nil {
		return inputFault(err)
	}
	released, err := station.ReadReleased(dir)
	if err != nil {
		return err
	}
	own, err := protocols.Verify(os.DirFS(dir), released, functions.All())
	if err != nil {
		return inputFault(err)
	}
	n := 0
	for _, fault := range append(shipped, own...) {
		fmt.Fprintln(p.talk, inWords(fault))
		n += len(document.FaultsOf(fault))
	}
	if n > 0 {
		return inputFault(fmt.Errorf("%s; see above", quantity.Counted(n, "fault", "faults")))
	}
	names, err := protocols.Files(os.DirFS(dir))
	if err != nil {
		return inputFault(err)
	}
	library, err := shippedProtocols()
	if err != nil {
		return inputFault(err)
	}
	for _, name := range names {
		state := "draft"
		if _, ok := released[name]; ok {
			state = "released"
		}
		notes, err := verifyTells(dir, name, library)
		if err != nil {
			return inputFault(err)
		}
		fmt.Fprintf(p.out, "%-40s %s, good\n", name, state)
		for _, note := range notes {
			fmt.Fprintf(p.out, "  %s\n", note)
		}
	}
	fmt.Fprintf(p.out, "%s of %s good; those that ship are unchanged\n", quantity.Counted(len(names), "file", "files"), dir)
	return nil
}

func (p *program) lockCommand() *cli.Command {
	return &cli.Command{
		Name: "lock", Usage: "release the season's own protocols: their texts may not change any more",
		UsageText: "spatsheet protocols lock [--folder <folder> | --dir <folder>]",
		Description: `Writes the digest of every file into protocols/released.txt. From then on a changed
file is refused, and the next change is a new version.

   spatsheet protocols lock`,
		Flags: []cli.Flag{folderFlag(), dirFlag()},
		Action: func(c *cli.Context) error {
			if c.Args().Present() {
				return usageFault("lock takes no %q; it releases every file of the folder", c.Args().First())
			}
			return p.lock(protocolsDir(c))
		},
	}
}

func (p *program) lock(dir string) error {
	released, err := station.ReadReleased(dir)
	if err != nil {
		return err
	}
	if err := finished(dir, released); err != nil {
		return err
	}
	all, err := protocols.Lock(os.DirFS(dir), released, functions.All())
	if err != nil {
		return inputFault(err)
	}
	if len(all) == 0 {
		return inputFault(fmt.Errorf("there is no protocol in %s; start one with `spatsheet protocols new`", dir))
	}
	name := filepath.Join(dir, station.ReleasedFile)
	if err := station.WriteBytes(name, true, all.Text()); err != nil {
		return err
	}
	fmt.Fprintf(p.out, "%s: %s released, %d of them new\n", name, quantity.Counted(len(all), "file", "files"), len(all)-len(released))
	return nil
}

// placeholders are the words of the skeleton and of a copy that a person replaces.
var placeholders = []string{"What this protocol does, in a line", "say here what you change"}

// finished refuses a folder with a protocol that still has its placeholder words: what
// is released may not change any more.
func finished(dir string, released protocols.Released) error {
	names, err := protocols.Files(os.DirFS(dir))
	if err != nil {
		return inputFault(err)
	}
	for _, name := range names {
		if _, done := released[name]; done {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			return inputFault(err)
		}
		for _, words := range placeholders {
			if strings.Contains(string(text), words) {
				return inputFault(fmt.Errorf("%s still says %q; write your own words, or move the draft out of the folder, before it is released", name, words))
			}
		}
	}
	return nil
}
