package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"onevisit/diagnosis/knowledge"
)

type knowledgeCopyCmd struct {
	Dir string `arg:"" help:"The folder to write; it is made when it is not there."`
}

// Help is shown below the flags.
func (knowledgeCopyCmd) Help() string {
	return `Keep only what you change: a family's folder replaces the shipped family whole, and what is left out is taken
from the program. Nothing is ever overwritten.

Example:
  onevisit knowledge copy my-knowledge && onevisit knowledge check my-knowledge`
}

// Run writes the shipped files.
func (c *knowledgeCopyCmd) Run(a *app) error {
	from := knowledge.Embedded()
	n := 0
	each := func(use func(name string) error) error {
		return fs.WalkDir(from, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			return use(name)
		})
	}
	target := func(name string) string { return filepath.Join(c.Dir, filepath.FromSlash(name)) }
	// All are looked at before one is written, so that nothing is half-done.
	err := each(func(name string) error {
		if _, err := os.Lstat(target(name)); !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s is there already; nothing was written", target(name))
		}
		return nil
	})
	if err != nil {
		return err
	}
	err = each(func(name string) error {
		data, err := fs.ReadFile(from, name)
		if err != nil {
			return err
		}
		if err := os.MkdirAll(filepath.Dir(target(name)), 0o755); err != nil {
			return err
		}
		n++
		return writeNew(target(name), data)
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.stdout, "Wrote %d files into %s.\n", n, c.Dir)
	return err
}

// writeNew writes a file that must not be there yet.
func writeNew(name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}
