package strip

import (
	"bytes"
	"encoding/binary"
)

// The markers of a JPEG file (ITU-T T.81, table B.1).
const (
	startOfImage = 0xd8
	endOfImage   = 0xd9
	startOfScan  = 0xda
	application  = 0xe0 // and the 15 after it
	comment      = 0xfe
)

// jpeg leaves out comments and what applications wrote, save what colours need. Whatever comes after the end of the picture
// goes too: telephones hang films and further pictures there.
func jpeg(file []byte, turned uint16) ([]byte, error) {
	if len(file) < 4 || file[0] != 0xff || file[1] != startOfImage {
		return nil, errDamaged
	}
	out := append(make([]byte, 0, len(file)), file[:2]...)
	app0, rest := leading(file[2:])
	out = append(out, app0...)
	if turned != upright {
		out = append(out, segment(application+1, append([]byte("Exif\x00\x00"), exif(turned)...))...)
	}
	for {
		marker, whole, after, ok := nextSegment(rest)
		if !ok {
			return nil, errDamaged
		}
		if keepsJPEG(marker, whole) {
			out = append(out, whole...)
		}
		rest = after
		switch marker {
		case endOfImage:
			return out, nil
		case startOfScan:
			n := scanLength(rest)
			out, rest = append(out, rest[:n]...), rest[n:]
		}
	}
}

// leading is the segment that some readers want first.
func leading(rest []byte) (app0, after []byte) {
	marker, whole, after, ok := nextSegment(rest)
	if ok && marker == application && keepsJPEG(marker, whole) {
		return whole, after
	}
	return nil, rest
}

// nextSegment cuts one marker off, with what belongs to it.
func nextSegment(b []byte) (marker byte, whole, after []byte, ok bool) {
	if len(b) < 2 || b[0] != 0xff {
		return 0, nil, nil, false
	}
	for len(b) > 2 && b[1] == 0xff { // any number of these may stand before a marker
		b = b[1:]
	}
	marker = b[1]
	if marker == endOfImage || marker >= 0xd0 && marker <= 0xd7 || marker == 0x01 {
		return marker, b[:2], b[2:], true
	}
	if len(b) < 4 || marker == 0 || marker == 0xff || marker == startOfImage {
		return 0, nil, nil, false
	}
	n := 2 + int(binary.BigEndian.Uint16(b[2:]))
	if n < 4 || n > len(b) {
		return 0, nil, nil, false
	}
	return marker, b[:n], b[n:], true
}

// keepsJPEG tells whether a segment belongs to the picture. Of what applications write that is the pixels' shape (JFIF), the
// colour profile, and how colours are coded (Adobe).
func keepsJPEG(marker byte, whole []byte) bool {
	said := func(name string) bool { return bytes.HasPrefix(whole[4:], []byte(name)) }
	switch {
	case marker == comment:
		return false
	case marker == application:
		return len(whole) == 18 && said("JFIF\x00") && whole[16] == 0 && whole[17] == 0 // without a small picture inside
	case marker == application+2:
		return said("ICC_PROFILE\x00")
	case marker == application+14:
		return len(whole) == 16 && said("Adobe")
	case marker > application && marker <= application+15:
		return false
	}
	return true
}

// scanLength is how far the coded pixels go. In them an ff stands only before 00 or a restart.
func scanLength(b []byte) int {
	for i := 0; i+1 < len(b); i++ {
		if b[i] == 0xff && b[i+1] != 0 && b[i+1] != 0xff && (b[i+1] < 0xd0 || b[i+1] > 0xd7) {
			return i
		}
	}
	return len(b)
}

func segment(marker byte, body []byte) []byte {
	whole := binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2))
	return append(whole, body...)
}
