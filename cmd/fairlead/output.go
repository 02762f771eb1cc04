package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// output is standard output, with errors that say so.
type output struct{ io.Writer }

func (o output) Write(p []byte) (int, error) {
	n, err := o.Writer.Write(p)
	if err != nil {
		err = fmt.Errorf("fairlead: cannot write to standard output: %w", err)
	}
	return n, err
}

// writeWhole writes a file whole or leaves what was there. What is not a plain file, such as /dev/null or a pipe, has
// nothing to be left and is written to as it is.
func writeWhole(name string, data []byte, stdout io.Writer) error {
	if name == "-" {
		_, err := stdout.Write(data)
		return err
	}
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		return fmt.Errorf("fairlead: cannot write %s: it is a directory; give a file name in it", name)
	case err == nil && !info.Mode().IsRegular():
		err = os.WriteFile(name, data, 0o644)
	default:
		err = replace(name, data)
	}
	if err != nil {
		return fmt.Errorf("fairlead: cannot write %s: %w", name, cause(err))
	}
	return nil
}

// replace writes the bytes to a temporary file beside the named one, which then takes its name. A link stays a link:
// what it leads to is replaced.
func replace(name string, data []byte) error {
	if target, err := filepath.EvalSymlinks(name); err == nil {
		name = target
	}
	file, err := os.CreateTemp(filepath.Dir(name), ".fairlead-*")
	if err != nil {
		return err
	}
	defer os.Remove(file.Name()) // gone already once renamed
	_, err = file.Write(data)
	if err == nil {
		err = file.Chmod(0o644)
	}
	if closing := file.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(file.Name(), name)
	}
	return err
}

// cause is what went wrong without the name of the file it went wrong with: the temporary one is nobody's business.
func cause(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
