package licence

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// A recogniser knows licences by their text, word for word. To look for a
// phrase or two would take a licence with a clause added for the licence
// without it.
type recogniser struct {
	known    []known
	reviewed map[string][]string // by the sum of a text: the licences a person found in it
}

type known struct {
	id      string // of the SPDX list, where it is there
	pattern *regexp.Regexp
}

// newRecogniser reads testdata/known, a file a licence, in which <holder> is
// any name of up to 30 words; and testdata/reviewed.txt.
func newRecogniser(t *testing.T) *recogniser {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("testdata", "known", "*.txt"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no known licences: %v", err)
	}
	r := &recogniser{reviewed: reviewed(t)}
	for _, path := range files {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		parts := strings.Split(string(text), "<holder>")
		for i := range parts {
			parts[i] = words(parts[i])
		}
		id := strings.TrimSuffix(filepath.Base(path), ".txt")
		r.known = append(r.known, known{id, regexp.MustCompile(strings.Join(parts, `(?: \S+){0,30}?`))})
	}
	// Of two that begin alike the longer one is the one meant.
	slices.SortStableFunc(r.known, func(a, b known) int { return len(b.pattern.String()) - len(a.pattern.String()) })
	return r
}

// reviewed reads what a person found in texts that are not known word for word.
func reviewed(t *testing.T) map[string][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "reviewed.txt"))
	if err != nil {
		t.Fatal(err)
	}
	found := map[string][]string{}
	for line := range strings.Lines(string(text)) {
		if fields := strings.Fields(line); len(fields) > 0 && fields[0] != "#" {
			found[fields[0]] = strings.Split(fields[1], ",")
		}
	}
	return found
}

// recognise gives the licences that a text consists of. What is left of the
// text when they and matters of form are taken away is an error: it may be a
// condition.
func (r *recogniser) recognise(text string) ([]string, error) {
	if ids, ok := r.reviewed[sum(text)]; ok {
		return ids, nil
	}
	rest := words(form.ReplaceAllStringFunc(text, unlessCondition))
	var ids []string
	for _, k := range r.known {
		if all := k.pattern.FindAllString(rest, -1); len(all) > 0 {
			ids = append(ids, k.id)
			rest = k.pattern.ReplaceAllString(rest, "")
		}
	}
	for _, title := range titles {
		rest = strings.ReplaceAll(rest, words(title), "")
	}
	if rest != "" {
		return ids, fmt.Errorf("not known: %.120q; hint: read it, and if nothing speaks against it add %s to reviewed.txt", strings.TrimSpace(rest), sum(text))
	}
	if len(ids) == 0 {
		return nil, fmt.Errorf("holds no licence")
	}
	return ids, nil
}

// unlessCondition drops a line that says whose the work is, and keeps one that
// goes on to say what may be done with it.
func unlessCondition(line string) string {
	if condition.MatchString(line) {
		return line
	}
	return ""
}

// sum names a text.
func sum(text string) string { return fmt.Sprintf("%x", sha256.Sum256([]byte(text)))[:16] }

var (
	// form is a line that says whose the work is, or nothing.
	form      = regexp.MustCompile(`(?im)^\W*(?:portions )?(?:copyright|\(c\)|©)\b?.*(?:\d{4}|\(c\)|©|authors|contributors).*$|all rights reserved\.?`)
	condition = regexp.MustCompile(`(?i)\b(?:not|no|may|must|shall|only|permi\w+|except|unless|provided)\b`)
	// marker numbers the points of a list; some number them, some use bullets.
	marker = regexp.MustCompile(`(?m)^[ \t]*(?:\(?[0-9a-z][.)]|[*-])[ \t]+`)
	word   = regexp.MustCompile(`[\pL\pN]+`)
)

// titles may stand about a licence. The last is what the Apache licence says
// behind its end of how to use it.
var titles = []string{
	"The MIT License (MIT)", "The MIT License", "MIT License (Expat)", "MIT License", "ISC License", "BSD 3-Clause License", "BSD 2-Clause License",
	"Simplified BSD License", "Boost Software License - Version 1.0 - August 17th, 2003", "The BSD 3-Clause License",
	"END OF TERMS AND CONDITIONS",
	`APPENDIX: How to apply the Apache License to your work.

	To apply the Apache License to your work, attach the following
	boilerplate notice, with the fields enclosed by brackets "[]"
	replaced with your own identifying information. (Don't include
	the brackets!)  The text should be enclosed in the appropriate
	comment syntax for the file format. We also recommend that a
	file or class name and description of purpose be included on the
	same "printed page" as the copyright notice for easier
	identification within third-party archives.`,
	"Copyright [yyyy] [name of copyright owner]",
	`Licensed under the Apache License, Version 2.0 (the "License");
	you may not use this file except in compliance with the License.
	You may obtain a copy of the License at
	http://www.apache.org/licenses/LICENSE-2.0
	Unless required by applicable law or agreed to in writing, software
	distributed under the License is distributed on an "AS IS" BASIS,
	WITHOUT WARRANTIES OR CONDITIONS OF ANY KIND, either express or implied.
	See the License for the specific language governing permissions and
	limitations under the License.`,
}

// words are the words of a text in small letters, each behind a blank, which
// no line break, quotation mark or numbering changes.
func words(text string) string {
	var b strings.Builder
	for _, w := range word.FindAllString(marker.ReplaceAllString(text, ""), -1) {
		b.WriteString(" " + strings.ToLower(w))
	}
	return b.String()
}
