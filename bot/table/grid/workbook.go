package grid

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
)

// Workbook is a workbook whose sheets haven't been read yet.
type Workbook struct {
	Sheets  []Sheet
	parts   map[string]*zip.File // by name in small letters
	left    int64                // how much may still be unpacked
	from    int64                // how much might in all
	days    dayCount
	formats []format
	texts   []string // those that cells share
}

// Sheet is a sheet of cells.
type Sheet struct {
	Name   string
	Hidden bool
	part   string
}

// IsWorkbook tells whether a file is something that an office program packs, of which a workbook is one kind.
func IsWorkbook(file []byte) bool { return bytes.HasPrefix(file, []byte("PK\x03\x04")) }

// OpenWorkbook reads what sheets there are. No more than mostBytes are ever unpacked, since a small file can hold very much. Its
// errors say what to change.
func OpenWorkbook(file []byte, mostBytes int64) (*Workbook, error) {
	in, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return nil, errors.New("this workbook is damaged, or only a part of it; save it or send it again")
	}
	w := &Workbook{parts: map[string]*zip.File{}, left: mostBytes, from: mostBytes}
	for _, f := range in.File {
		name := strings.ToLower(strings.TrimPrefix(strings.ReplaceAll(f.Name, `\`, "/"), "/"))
		if w.parts[name] != nil {
			return nil, fmt.Errorf("this workbook holds %s twice, so nobody can say which one counts; save it again", f.Name)
		}
		w.parts[name] = f
	}
	if w.parts["xl/workbook.xml"] == nil {
		return nil, errors.New("this is no workbook that is read here; save it as .xlsx or as CSV")
	}
	return w, w.outline()
}

// outline reads everything but the sheets.
func (w *Workbook) outline() error {
	targets, err := w.relations()
	if err != nil {
		return err
	}
	var book struct {
		Properties struct {
			From1904 string `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name  string `xml:"name,attr"`
			State string `xml:"state,attr"`
			ID    string `xml:"http://schemas.openxmlformats.org/officeDocument/2006/relationships id,attr"`
			// Strict is the same in the strict form of the format.
			Strict string `xml:"http://purl.oclc.org/ooxml/officeDocument/relationships id,attr"`
		} `xml:"sheets>sheet"`
	}
	if err := w.decode("xl/workbook.xml", &book); err != nil {
		return err
	}
	w.days = dayCount{from1904: isTrue(book.Properties.From1904)}
	for _, s := range book.Sheets {
		target := targets[s.ID+s.Strict]
		if target.kind == "worksheet" { // and no chart
			w.Sheets = append(w.Sheets, Sheet{Name: s.Name, Hidden: s.State != "" && s.State != "visible", part: target.part})
		}
	}
	for _, t := range targets {
		switch t.kind {
		case "styles":
			err = w.readFormats(t.part)
		case "sharedStrings":
			err = w.readTexts(t.part)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// target is a part that the workbook names, and what it is.
type target struct{ part, kind string }

// relations are the parts that the workbook names, by its names for them.
func (w *Workbook) relations() (map[string]target, error) {
	var all struct {
		One []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	if err := w.decode("xl/_rels/workbook.xml.rels", &all); err != nil {
		return nil, err
	}
	targets := map[string]target{}
	for _, r := range all.One {
		part := strings.TrimPrefix(r.Target, "/")
		if !strings.HasPrefix(r.Target, "/") {
			part = path.Join("xl", r.Target)
		}
		targets[r.ID] = target{strings.ToLower(part), path.Base(r.Type)}
	}
	return targets, nil
}

// readTexts reads the texts that cells share.
func (w *Workbook) readTexts(part string) error {
	return w.walk(part, func(in *xml.Decoder, at xml.StartElement) error {
		if at.Name.Local != "si" {
			return nil
		}
		var text richText
		if err := in.DecodeElement(&text, &at); err != nil {
			return err
		}
		w.texts = append(w.texts, text.plain())
		return nil
	})
}

// richText is a text that may change its looks on the way. What says how it is spoken (rPh) isn't part of it.
type richText struct {
	Text string `xml:"t"`
	Runs []struct {
		Text string `xml:"t"`
	} `xml:"r"`
}

func (t richText) plain() string {
	all := t.Text
	for _, r := range t.Runs {
		all += r.Text
	}
	return unescape(all)
}

// decode reads a small part at once.
func (w *Workbook) decode(part string, into any) error {
	in, err := w.open(part)
	if err != nil {
		return err
	}
	return w.sentence(xml.NewDecoder(in).Decode(into))
}

// walk shows each element of a part where it begins.
func (w *Workbook) walk(part string, visit func(*xml.Decoder, xml.StartElement) error) error {
	in, err := w.open(part)
	if err != nil {
		return err
	}
	decoder := xml.NewDecoder(in)
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if start, is := token.(xml.StartElement); is && err == nil {
			err = visit(decoder, start)
		}
		if err != nil {
			return w.sentence(err)
		}
	}
}

func (w *Workbook) open(part string) (io.Reader, error) {
	f := w.parts[part]
	if f == nil {
		return nil, fmt.Errorf("this workbook lacks its part %s; save it again", part)
	}
	in, err := f.Open()
	if err != nil {
		return nil, w.sentence(err)
	}
	return &counted{w, in}, nil
}

// errTooLarge is how a part ends of which more would be unpacked than may be.
var errTooLarge = errors.New("too large")

// counted unpacks no more than is left.
type counted struct {
	of *Workbook
	in io.Reader
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.in.Read(p)
	if c.of.left -= int64(n); c.of.left < 0 {
		return 0, errTooLarge
	}
	return n, err
}

// said is an error that is a sentence already.
type said struct{ error }

// sentence says what is wrong in words to act on.
func (w *Workbook) sentence(err error) error {
	var already said
	switch {
	case err == nil:
		return nil
	case errors.As(err, &already):
		return already.error
	case errors.Is(err, errTooLarge):
		return fmt.Errorf("this workbook unpacks to more than %d MB; keep the register in a workbook of its own, without pictures and empty rows", w.from>>20)
	}
	return errors.New("this workbook is damaged, and can't be read whole; save it again")
}

func isTrue(flag string) bool { return flag == "1" || flag == "true" }
