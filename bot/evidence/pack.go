// Package evidence writes the evidence pack that an auditor or insurer is handed: one page that reads without a network in any
// browser, in a ZIP file with the photos that it shows. It knows neither the record nor the conversation, and it keeps no more than
// one row in memory, however large a store is.
package evidence

import (
	"archive/zip"
	"bufio"
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"becket/bot/photo/strip"
)

// PageName is the page's name in the ZIP file.
const PageName = "evidence.html"

// Pack is all that one pack says. The same pack makes the same bytes.
type Pack struct {
	Title    string
	About    string    // what it is, and how far it can be trusted
	Facts    []Fact    // what it was made from
	Sections []Section // in the order in which they are read
	Made     time.Time // the files' time in the ZIP file
}

// Fact is something said under a name.
type Fact struct{ Name, Says string }

// Section is one subject: a table, or records one after the other. Either of Rows and Records is nil.
type Section struct {
	ID    string // of the heading, so that others can point to it; small letters
	Title string
	Says  string   // what is in it
	None  string   // said where it has no row or record
	Heads []string // over a table's columns; the first column names the row
	// Rows gives a table's rows to row, which says where writing failed.
	Rows    func(row func(cells ...string) error) error
	Records func(record func(Record) error) error
}

// Record is one inspection.
type Record struct {
	ID     string // of its heading; unique in the pack
	Title  string
	Facts  []Fact
	Tables []Table
	Photos []Photo
}

// Table is a small one, whole in memory.
type Table struct {
	Caption string
	Heads   []string
	Rows    [][]string
}

// Photo is a picture that the pack holds a copy of, without what was written into it besides the picture.
type Photo struct {
	Name string // tells it from all others; the same picture has the same name
	Of   string // what it shows, in words
	Type string // its media type
	File func() ([]byte, error)
}

// File is what else lies in the ZIP file.
type File struct {
	Name string
	Text []byte
}

// writer writes one pack.
type writer struct {
	page   *bufio.Writer
	pieces *templates
	photos []Photo
	known  map[string]bool // names of photos, and whether there is a copy
}

// Write writes a pack to out. rest gives what else belongs in the ZIP file; it is asked once the page is written, and may be nil.
func Write(out io.Writer, p Pack, rest func() ([]File, error)) error {
	files := zip.NewWriter(out)
	page, err := files.CreateHeader(entry(PageName, zip.Deflate, p.Made))
	if err != nil {
		return err
	}
	parts, err := parse()
	if err != nil {
		return err
	}
	w := &writer{page: bufio.NewWriter(page), pieces: parts, known: map[string]bool{}}
	if err := w.write(p); err != nil {
		return err
	}
	if err := w.page.Flush(); err != nil {
		return err
	}
	for _, photo := range w.photos {
		if err := addPhoto(files, photo, p.Made); err != nil {
			return err
		}
	}
	if rest != nil {
		all, err := rest()
		if err != nil {
			return err
		}
		for _, f := range all {
			if err := add(files, f.Name, zip.Deflate, p.Made, f.Text); err != nil {
				return err
			}
		}
	}
	return files.Close()
}

func entry(name string, method uint16, made time.Time) *zip.FileHeader {
	return &zip.FileHeader{Name: name, Method: method, Modified: made.UTC().Truncate(time.Second)}
}

func add(files *zip.Writer, name string, method uint16, made time.Time, data []byte) error {
	f, err := files.CreateHeader(entry(name, method, made))
	if err == nil {
		_, err = f.Write(data)
	}
	return err
}

// addPhoto takes its copy anew: the copies of a large store don't fit in memory while the page is written.
func addPhoto(files *zip.Writer, p Photo, made time.Time) error {
	data, err := p.copied()
	if err != nil {
		return fmt.Errorf("the photo %s can't be read again: %w", p.Name, err)
	}
	return add(files, p.path(), zip.Store, made, data) // pictures don't get smaller
}

// copied is the picture as it may leave.
func (p Photo) copied() ([]byte, error) {
	data, err := p.File()
	if err != nil {
		return nil, err
	}
	return strip.Picture(p.Type, data)
}

// path is where the photo lies in the ZIP file.
func (p Photo) path() string {
	_, kind, _ := strings.Cut(p.Type, "/")
	return "photos/" + p.Name + "." + cmp.Or(kind, "bin")
}

func (w *writer) write(p Pack) error {
	whole := struct {
		Pack
		*templates
	}{p, w.pieces}
	if err := w.pieces.run(w.page, "top", whole); err != nil {
		return err
	}
	for _, s := range p.Sections {
		if err := w.section(s); err != nil {
			return err
		}
	}
	return w.pieces.run(w.page, "end", whole)
}

func (w *writer) section(s Section) error {
	if err := w.pieces.run(w.page, "section", s); err != nil {
		return err
	}
	n, err := 0, error(nil)
	if s.Rows != nil {
		err = s.Rows(func(cells ...string) error {
			if n++; n == 1 {
				if err := w.pieces.run(w.page, "table", s); err != nil {
					return err
				}
			}
			return w.pieces.run(w.page, "row", under(s.Heads, cells))
		})
	} else {
		err = s.Records(func(r Record) error { n++; return w.record(r) })
	}
	switch {
	case err != nil:
		return err
	case n == 0:
		err = w.pieces.run(w.page, "none", s)
	case s.Rows != nil:
		err = w.pieces.run(w.page, "tableend", s)
	}
	if err != nil {
		return err
	}
	return w.pieces.run(w.page, "sectionend", s)
}

// shown is a photo as the page shows it; without Path there is no copy that could be shown.
type shown struct{ Path, Of string }

func (w *writer) record(r Record) error {
	all := make([]shown, len(r.Photos))
	for n, p := range r.Photos {
		all[n].Of = p.Of
		can, known := w.known[p.Name]
		if !known {
			_, err := p.copied()
			can = err == nil // one that can't be taken apart doesn't leave, and the page says so
			w.known[p.Name] = can
			if can {
				w.photos = append(w.photos, p)
			}
		}
		if can {
			all[n].Path = p.path()
		}
	}
	return w.pieces.run(w.page, "record", struct {
		Record
		Shown []shown
	}{r, all})
}
