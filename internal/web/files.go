package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"

	"potbank/internal/scenario"
)

// mostFile is the size above which a file is no scenario, in bytes.
const mostFile = 1 << 20

// plainName is what a file of the page may be called: a scenario at the top of
// the folder, or a question in the folder below.
var plainName = regexp.MustCompile(`^([A-Za-z0-9][A-Za-z0-9_-]{0,60}/)?[A-Za-z0-9][A-Za-z0-9._-]{0,120}\.ya?ml$`)

// file is one scenario or question of the folder.
type file struct {
	Name     string `json:"name"`
	Question bool   `json:"question"`
	Ask      string `json:"ask,omitempty"` // of a question: the command that answers it
	Title    string `json:"title"`
	Text     string `json:"text,omitempty"`
	Mark     string `json:"mark"` // of its content; a change must name the one it is based on
}

// markOf identifies a content.
func markOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// load reads a file of the folder. What is no regular file is not opened: a
// link could lead out, and a pipe would wait for its writer.
func (s *Server) load(name string) ([]byte, error) {
	if !plainName.MatchString(name) {
		return nil, fs.ErrNotExist
	}
	info, err := s.root.Lstat(name)
	if err != nil || !info.Mode().IsRegular() || info.Size() > mostFile {
		return nil, fs.ErrNotExist
	}
	f, err := s.root.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, mostFile))
}

// describe tells what a text is, from its first lines: its name or its title.
func describe(name string, text []byte) file {
	f := file{Name: name, Mark: markOf(text)}
	for line := range strings.Lines(string(text)) {
		key, rest, _ := strings.Cut(strings.TrimRight(line, "\r\n"), ":")
		rest, _, _ = strings.Cut(rest, " #")
		rest = strings.Trim(strings.TrimSpace(rest), `"'`)
		switch {
		case key == "question":
			f.Question = true
		case f.Ask == "" && key == "ask":
			f.Ask = rest
		case f.Title == "" && (key == "name" || key == "title"):
			f.Title = rest
		}
	}
	return f
}

// listFiles lists the scenarios at the top of the folder and the questions in
// the folders below.
func (s *Server) listFiles(w http.ResponseWriter, _ *http.Request) {
	names := s.names(".")
	slices.Sort(names)
	all := []file{}
	for _, name := range names {
		if text, err := s.load(name); err == nil {
			all = append(all, describe(name, text))
		}
	}
	reply(w, http.StatusOK, map[string]any{"files": all, "version": s.Version})
}

// names lists what may be a scenario in a folder, and one level below.
func (s *Server) names(dir string) []string {
	entries, err := fs.ReadDir(s.root.FS(), dir)
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		name := path.Join(dir, e.Name())
		switch {
		case e.IsDir() && dir == "." && !strings.HasPrefix(e.Name(), "."):
			names = append(names, s.names(name)...)
		case e.Type().IsRegular() && plainName.MatchString(name):
			names = append(names, name)
		}
	}
	return names
}

// readFile sends one file with its text.
func (s *Server) readFile(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	text, err := s.load(name)
	if err != nil {
		refuse(w, http.StatusNotFound, "there is no such file")
		return
	}
	f := describe(name, text)
	f.Text = string(text)
	reply(w, http.StatusOK, f)
}

// writeFile stores a file, as a whole or not at all. A change must name the
// content that it is based on, so that no one else's change is lost; a new file
// names none.
func (s *Server) writeFile(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	var in struct {
		Text string `json:"text"`
		Mark string `json:"mark"`
	}
	if !take(w, r, &in) {
		return
	}
	if !plainName.MatchString(name) || len(in.Text) > mostFile {
		refuse(w, http.StatusBadRequest, "a file is called like works.yaml and holds at most 1 MiB")
		return
	}
	s.storing.Lock()
	defer s.storing.Unlock()
	before, err := s.load(name)
	switch {
	case err == nil && in.Mark != markOf(before):
		refuse(w, http.StatusConflict, "%s was changed meanwhile; copy your text, open the file again and put it in", name)
		return
	case errors.Is(err, fs.ErrNotExist) && in.Mark != "":
		refuse(w, http.StatusConflict, "%s is no longer there", name)
		return
	}
	if err := s.store(name, in.Text); err != nil {
		refuse(w, http.StatusInternalServerError, "%s could not be stored: %s", name, reasonOf(err))
		return
	}
	reply(w, http.StatusOK, describe(name, []byte(in.Text)))
}

// store writes a file beside its place and moves it there.
func (s *Server) store(name, text string) error {
	if dir := path.Dir(name); dir != "." {
		if err := s.root.Mkdir(dir, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
	temporary := path.Join(path.Dir(name), "."+path.Base(name)+".new")
	f, err := s.root.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return err
	}
	_, err = io.WriteString(f, text)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = s.root.Rename(temporary, name)
	}
	if err != nil {
		s.root.Remove(temporary)
	}
	return err
}

// reasonOf drops the path that the system puts before a reason.
func reasonOf(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// edited is the folder with one text in the place of a file: what is being
// typed is judged without being stored.
type edited struct {
	fs.FS
	name, text string
}

// Open gives the edited text, or the file of the folder.
func (e edited) Open(name string) (fs.File, error) {
	if name == e.name {
		return &typed{strings.NewReader(e.text), e}, nil
	}
	return e.FS.Open(name)
}

// typed is the edited text as a file.
type typed struct {
	*strings.Reader
	of edited
}

func (t *typed) Close() error               { return nil }
func (t *typed) Stat() (fs.FileInfo, error) { return typedInfo{t.of}, nil }

// check judges a text that is being typed: its faults by line and column and, if
// it is a works that can run, the estimate by hand. Nothing is simulated or
// stored.
func (s *Server) check(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Name string `json:"name"`
		Text string `json:"text"`
	}
	if !take(w, r, &in) {
		return
	}
	if !plainName.MatchString(in.Name) {
		refuse(w, http.StatusBadRequest, "a file is called like works.yaml")
		return
	}
	top := edited{s.root.FS(), in.Name, in.Text}
	if describe(in.Name, []byte(in.Text)).Question {
		asked, faults := scenario.ReadQuestionIn(top, in.Name)
		reply(w, http.StatusOK, judged(faults, questionIn(asked)))
		return
	}
	file, faults := scenario.ReadIn(top, in.Name)
	var hand any
	if file != nil {
		ready, more := file.Plant()
		faults = append(faults, more...)
		if ready != nil {
			hand = handOf(file, ready)
		}
	}
	reply(w, http.StatusOK, judged(faults, hand))
}
