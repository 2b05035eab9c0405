package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"spatsheet/cmd/station"
)

func folderFlag() cli.Flag {
	return &cli.StringFlag{Name: "folder", Aliases: []string{"f"}, Value: ".", Usage: "the season `FOLDER`"}
}

func replaceFlag() cli.Flag {
	return &cli.BoolFlag{Name: "replace", Usage: "overwrite files that are there already"}
}

// folderOf is the season folder that --folder names, or the one we are in.
func folderOf(c *cli.Context) *station.Folder { return station.At(c.String("folder")) }

// inFolder is the flag that names a folder, as it is typed; nothing for the one we are in.
func inFolder(folder *station.Folder) string {
	if filepath.Clean(folder.Path) == "." {
		return ""
	}
	return " " + flagText("folder", folder.Path)
}

// filledIn are the workbooks and folders that were named, or else filled/ of the season
// folder.
func filledIn(c *cli.Context) ([]string, error) {
	if c.Args().Present() {
		return c.Args().Slice(), nil
	}
	name, err := folderOf(c).Filled()
	if err != nil {
		return nil, err
	}
	return []string{name}, nil
}

// tellPassedOver says on stderr what lies beside the workbooks of each folder and is not
// read.
func (p *program) tellPassedOver(arguments []string) {
	for _, a := range arguments {
		if names := station.PassedOver(a); len(names) > 0 {
			fmt.Fprintf(p.talk, "spatsheet: passed over in %s: %s; save tables as .xlsx, and name a folder within by itself\n", a, strings.Join(names, ", "))
		}
	}
}

func planName(folder *station.Folder, batch string) string {
	return folder.File(station.PlansFolder, batch+".yaml")
}

func there(name string) bool {
	_, err := os.Stat(name)
	return err == nil
}
