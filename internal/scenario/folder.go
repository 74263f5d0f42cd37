package scenario

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"potbank/internal/quantity"
)

// mostData bounds a table or calendar beside a scenario, in bytes.
const mostData = 16 << 20

// A folder is where a scenario lies. Whatever a scenario names lies there too:
// a file that strangers pass around must not reach into the machine it is
// opened on.
type folder struct {
	path   string
	within fs.FS             // file system that the folder is at the top of; nil: the machine's
	read   map[string][]byte // contents by name, once each
}

// root opens the folder. os.Root keeps a name from leaving it by any road, links
// included.
func (f *folder) root() (top fs.FS, done func() error, err error) {
	if f.within != nil {
		return f.within, func() error { return nil }, nil
	}
	root, err := os.OpenRoot(f.path)
	if err != nil {
		return nil, nil, err
	}
	return root.FS(), root.Close, nil
}

// open returns the content of a file in the folder. Errors are
// *quantity.Fault about the name.
func (f *folder) open(name string) (io.Reader, error) {
	if data, ok := f.read[name]; ok {
		return bytes.NewReader(data), nil
	}
	data, err := f.load(name, mostData)
	if err != nil {
		return nil, err
	}
	if f.read == nil {
		f.read = make(map[string][]byte)
	}
	f.read[name] = data
	return bytes.NewReader(data), nil
}

// load reads a file of at most limit bytes. The folder keeps it from leaving;
// the test before that only gives the plain cases a plain message. What is no
// regular file is not opened at all, since opening a pipe waits for whoever
// writes to it.
func (f *folder) load(name string, limit int64) ([]byte, error) {
	if !filepath.IsLocal(name) || strings.Contains(name, `\`) {
		return nil, faultAt(0, "keep data files beside the scenario", "the path leaves the folder of this scenario")
	}
	root, done, err := f.root()
	if err != nil {
		return nil, faultAt(0, "", "the folder of this scenario cannot be read: %s", reason(err))
	}
	defer done()
	info, err := fs.Stat(root, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, faultAt(0, besides(root, name), "there is no file %s in the folder of this scenario", quote(name))
	case err != nil:
		return nil, faultAt(0, "keep data files beside the scenario", "%s: %s", name, reason(err))
	case !info.Mode().IsRegular():
		return nil, faultAt(0, "name a file", "%s is not a regular file", quote(name))
	}
	file, err := root.Open(name)
	if err != nil {
		return nil, faultAt(0, "", "%s: %s", name, reason(err))
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, limit+1))
	switch {
	case err != nil:
		return nil, faultAt(0, "", "%s: %s", name, reason(err))
	case int64(len(data)) > limit:
		return nil, &quantity.Fault{What: name + " is larger than the limit for such files", Hint: "split it", Limit: true}
	}
	return data, nil
}

// besides says what to do about a file that is not there: to take one with nearly
// that name, or to put it there.
func besides(root fs.FS, name string) string {
	held, err := fs.ReadDir(root, path.Dir(name))
	if err == nil && len(held) <= mostKeys {
		var names []string
		for _, e := range held {
			names = append(names, path.Join(path.Dir(name), e.Name()))
		}
		if near, ok := nearest(name, names); ok {
			return "did you mean " + near + "?"
		}
	}
	return "put it beside the scenario"
}

// reason drops the path that the system puts before the reason: the message
// names the file already.
func reason(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
