package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"path/filepath"
	"testing"
	"time"

	"becket/store"
)

// dated is EXIF with the time of the picture and how far that is from UTC, built by hand after TIFF 6.0 section 2 and EXIF
// 2.32 section 4.6.5 (0x8769 points to its own part; 0x9003 and 0x9011): offsets from its first byte.
func dated(at, offset string) []byte {
	be := binary.BigEndian
	entry := func(tag, kind uint16, count, value uint32) []byte {
		e := be.AppendUint16(be.AppendUint16(nil, tag), kind)
		return be.AppendUint32(be.AppendUint32(e, count), value)
	}
	const own, texts = 8 + 2 + 12 + 4, 8 + 2 + 12 + 4 + 2 + 2*12 + 4
	b := []byte{'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1}
	b = append(b, entry(0x8769, 4, 1, own)...)
	b = append(b, 0, 0, 0, 0, 0, 2)
	b = append(b, entry(0x9003, 2, 20, texts)...)
	b = append(b, entry(0x9011, 2, 7, texts+20)...)
	b = append(b, 0, 0, 0, 0)
	return append(append(append(b, at...), 0), append([]byte(offset), 0)...)
}

func TestTakenIsReadOffThePicture(t *testing.T) {
	for _, one := range []struct{ at, offset, want string }{
		{"2026:11:14 09:31:00", "+01:00", "2026-11-14T09:31:00+01:00"},
		{"2026:11:14 09:31:00", "      ", "2026-11-14T09:31:00"},
		{"0000:00:00 00:00:00", "+01:00", ""},
		{"    :  :     :  :  ", "+01:00", ""},
	} {
		var plain bytes.Buffer
		if err := jpeg.Encode(&plain, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
			t.Fatal(err)
		}
		said := append([]byte("Exif\x00\x00"), dated(one.at, one.offset)...)
		file := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(said)+2))...)
		file = append(append(file, said...), plain.Bytes()[2:]...)
		db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "becket.db"), time.Now)
		if err != nil {
			t.Fatal(err)
		}
		f := Keep(t.Context(), db, "x.jpg", bytes.NewReader(file), int64(len(file)))
		if f.Problem != "" || f.Taken != one.want || f.Size != int64(len(file)) {
			t.Errorf("%q %q: %+v", one.at, one.offset, f)
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
