package strip

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/color/palette"
	imagegif "image/gif"
	imagejpeg "image/jpeg"
	imagepng "image/png"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/bep/imagemeta"
	"pgregory.net/rapid"
)

// secret stands in every place of a file from which it has to go.
const secret = "behind the chapel"

// located is EXIF with a maker, an orientation and a place: 57° 30' N, 6° 15' W. Built by hand after TIFF 6.0 section 2
// and EXIF 2.32 sections 4.6.3 and 4.6.6: offsets from its first byte.
func located(turned uint16) []byte {
	be := binary.BigEndian
	entry := func(tag, kind uint16, count, value uint32) []byte {
		e := be.AppendUint16(nil, tag)
		e = be.AppendUint16(e, kind)
		return be.AppendUint32(be.AppendUint32(e, count), value)
	}
	const ifd0, gps = 8, 8 + 2 + 3*12 + 4
	const maker = gps + 2 + 4*12 + 4
	const north, west = maker + 20, maker + 20 + 24
	b := []byte{'M', 'M', 0, 42, 0, 0, 0, ifd0, 0, 3}
	b = append(b, entry(0x010f, 2, uint32(len(secret)+1), maker)...)
	b = append(b, entry(0x0112, 3, 1, uint32(turned)<<16)...)
	b = append(b, entry(0x8825, 4, 1, gps)...)
	b = append(b, 0, 0, 0, 0, 0, 4)
	b = append(b, entry(1, 2, 2, 'N'<<24)...)
	b = append(b, entry(2, 5, 3, north)...)
	b = append(b, entry(3, 2, 2, 'W'<<24)...)
	b = append(b, entry(4, 5, 3, west)...)
	b = append(b, 0, 0, 0, 0)
	b = append(b, secret...)
	b = append(b, make([]byte, maker+20-len(b))...)
	for _, n := range []uint32{57, 1, 30, 1, 0, 1, 6, 1, 15, 1, 0, 1} {
		b = be.AppendUint32(b, n)
	}
	return b
}

const xmp = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="57,30.0N" exif:GPSLongitude="6,15.0W" exif:Note="` + secret + `"/></rdf:RDF></x:xmpmeta>`

func drawing() *image.Paletted {
	img := image.NewPaletted(image.Rect(0, 0, 60, 40), palette.WebSafe)
	for i := range img.Pix {
		img.Pix[i] = uint8(i * 7 % len(palette.WebSafe))
	}
	return img
}

// withSegments is a JPEG with more segments after its first marker, and something behind its end.
func withSegments(t *testing.T, behind string, more ...[]byte) []byte {
	t.Helper()
	var plain bytes.Buffer
	if err := imagejpeg.Encode(&plain, drawing(), nil); err != nil {
		t.Fatal(err)
	}
	file := slices.Concat([]byte{0xff, startOfImage}, slices.Concat(more...), plain.Bytes()[2:], []byte(behind))
	return file
}

func jpegOf(t *testing.T, turned uint16) []byte {
	return withSegments(t, "ftypmp42"+secret,
		segment(application, []byte("JFIF\x00\x01\x02\x01\x00\x48\x00\x48\x00\x00")),
		segment(application+1, append([]byte("Exif\x00\x00"), located(turned)...)),
		segment(application+1, []byte("http://ns.adobe.com/xap/1.0/\x00"+xmp)),
		segment(application+2, []byte("MPF\x00"+secret)),
		segment(application+2, []byte("ICC_PROFILE\x00\x01\x01colours")),
		segment(application+13, []byte("Photoshop 3.0\x00"+secret)),
		segment(comment, []byte(secret)))
}

func pngOf(t *testing.T, turned uint16) []byte {
	t.Helper()
	var plain bytes.Buffer
	if err := imagepng.Encode(&plain, drawing()); err != nil {
		t.Fatal(err)
	}
	const head = 8 + 25 // its mark and IHDR
	b := plain.Bytes()
	return slices.Concat(b[:head], chunkPNG("eXIf", located(turned)), chunkPNG("tEXt", []byte("Where\x00"+secret)),
		chunkPNG("iTXt", []byte("XML:com.adobe.xmp\x00\x00\x00\x00\x00"+xmp)), chunkPNG("prVt", []byte(secret)), b[head:], []byte(secret))
}

// webpOf is a WebP file in the long form. Nobody here looks into the bytes of its pixels.
func webpOf(turned uint16) []byte {
	chunk := func(name string, body []byte) []byte {
		b := append(binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body))), body...)
		return append(b, make([]byte, len(body)&1)...)
	}
	body := slices.Concat([]byte("WEBP"), chunk("VP8X", []byte{hasEXIF | hasXMP, 0, 0, 0, 0, 0, 0, 0, 0, 0}),
		chunk("VP8L", []byte{0x2f, 0, 0, 0, 0x10, 0x07, 0x10, 0x11, 0x11, 0x88, 0x88, 0xfe, 0x07, 0}),
		chunk("EXIF", located(turned)), chunk("XMP ", []byte(xmp)), chunk("PRVT", []byte(secret)))
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func gifOf(t *testing.T) []byte {
	t.Helper()
	var plain bytes.Buffer
	film := &imagegif.GIF{Image: []*image.Paletted{drawing(), drawing()}, Delay: []int{10, 10}}
	if err := imagegif.EncodeAll(&plain, film); err != nil {
		t.Fatal(err)
	}
	b := plain.Bytes()
	head := 13 + colours(b[10])
	said := append([]byte{gifExtension, gifComment, byte(len(secret))}, secret...)
	wrote := append([]byte("\x21\xff\x0bXMP DataXMP"), append([]byte{byte(len(secret))}, secret...)...)
	return slices.Concat(b[:head], append(said, 0), append(wrote, 0), b[head:], []byte(secret))
}

// tagsOf are what an independent reader finds in a file.
func tagsOf(t *testing.T, kind imagemeta.ImageFormat, file []byte) (tags imagemeta.Tags) {
	t.Helper()
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(file), ImageFormat: kind, Sources: imagemeta.EXIF | imagemeta.XMP | imagemeta.IPTC,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		HandleTag:       func(tag imagemeta.TagInfo) error { tags.Add(tag); return nil },
	})
	if err != nil {
		t.Fatalf("an independent reader can't read it: %v", err)
	}
	return tags
}

func TestWhereItWasTakenIsGone(t *testing.T) {
	for turned := uint16(1); turned <= 8; turned++ {
		for _, c := range []struct {
			kind string
			form imagemeta.ImageFormat
			file []byte
		}{
			{"image/jpeg", imagemeta.JPEG, jpegOf(t, turned)},
			{"image/png", imagemeta.PNG, pngOf(t, turned)},
			{"image/webp", imagemeta.WebP, webpOf(turned)},
		} {
			lat, long, err := tagsOf(t, c.form, c.file).GetLatLong()
			if err != nil || lat != 57.5 || long != -6.25 {
				t.Fatalf("%s: the test's own picture says %v, %v (%v)", c.kind, lat, long, err)
			}
			before := bytes.Clone(c.file)
			got, err := Picture(c.kind, c.file)
			if err != nil {
				t.Fatalf("%s: %v", c.kind, err)
			}
			if !bytes.Equal(before, c.file) {
				t.Errorf("%s: the original was changed", c.kind)
			}
			tags := tagsOf(t, c.form, got).All()
			wantTags := 1
			if turned == upright {
				wantTags = 0
			}
			if said, is := tags["Orientation"]; len(tags) != wantTags || turned != upright && (!is || said.Value != turned) {
				t.Errorf("%s, turned %d: the copy still says %v", c.kind, turned, tags)
			}
			if bytes.Contains(got, []byte(secret)) || bytes.Contains(got, []byte("GPS")) {
				t.Errorf("%s: the copy still has the secret", c.kind)
			}
			again, err := Picture(c.kind, got)
			if err != nil || !bytes.Equal(again, got) {
				t.Errorf("%s: stripped twice it is another file: %v", c.kind, err)
			}
		}
	}
}

func TestPixelsAreTheSame(t *testing.T) {
	for kind, file := range map[string][]byte{"image/jpeg": jpegOf(t, 6), "image/png": pngOf(t, 6), "image/gif": gifOf(t)} {
		got, err := Picture(kind, file)
		if err != nil {
			t.Fatalf("%s: %v", kind, err)
		}
		want, _, err := image.Decode(bytes.NewReader(file))
		if err != nil {
			t.Fatal(err)
		}
		have, _, err := image.Decode(bytes.NewReader(got))
		if err != nil || !reflect.DeepEqual(want, have) {
			t.Errorf("%s: the copy shows another picture (%v)", kind, err)
		}
		if bytes.Contains(got, []byte(secret)) {
			t.Errorf("%s: the copy still has the secret", kind)
		}
	}
	if got, _ := Picture("image/jpeg", jpegOf(t, 1)); !bytes.Contains(got, []byte("colours")) {
		t.Error("the colour profile is gone")
	}
	film, err := Picture("image/gif", gifOf(t))
	if err != nil {
		t.Fatal(err)
	}
	all, err := imagegif.DecodeAll(bytes.NewReader(film))
	if err != nil || len(all.Image) != 2 || !bytes.Contains(film, []byte("NETSCAPE2.0")) {
		t.Errorf("the film lost something: %v", err)
	}
	if webp, err := Picture("image/webp", webpOf(6)); err != nil || !bytes.Contains(webp, webpOf(6)[30:52]) {
		t.Errorf("the pixels of the WebP file aren't there as they were: %v", err)
	}
}

// TestManyScans: a picture in several scans, with restarts, keeps all of them. Progressive files have them; this one is put
// together from two scans, which is enough for where they end.
func TestManyScans(t *testing.T) {
	scan := slices.Concat(segment(startOfScan, []byte{1, 1, 0, 0, 63, 0}), []byte{1, 2, 0xff, 0, 3, 0xff, 0xd0, 4, 0xff, 0xd7, 5})
	table := segment(0xc4, []byte{0, 1, 2, 3})
	file := slices.Concat([]byte{0xff, startOfImage}, segment(comment, []byte(secret)), scan, table, segment(comment, []byte(secret)), scan, []byte{0xff, endOfImage})
	want := slices.Concat([]byte{0xff, startOfImage}, scan, table, scan, []byte{0xff, endOfImage})
	if got, err := Picture("image/jpeg", file); err != nil || !bytes.Equal(got, want) {
		t.Errorf("got %x (%v), wanted %x", got, err, want)
	}
}

func TestAPictureWithoutAnythingStaysAsItIs(t *testing.T) {
	var b bytes.Buffer
	img := image.NewNRGBA(image.Rect(0, 0, 20, 20))
	img.Set(3, 4, color.NRGBA{200, 10, 10, 128})
	if err := imagepng.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if got, err := Picture("image/png", b.Bytes()); err != nil || !bytes.Equal(got, b.Bytes()) {
		t.Errorf("it was changed (%v)", err)
	}
}

func TestWhatCantBeStrippedIsRefused(t *testing.T) {
	for _, kind := range []string{"image/heic", "image/tiff", "application/pdf", "", "text/html"} {
		if _, err := Picture(kind, []byte("anything")); !errors.Is(err, ErrKind) {
			t.Errorf("%q: %v", kind, err)
		}
	}
	for _, kind := range []string{"image/jpeg", "image/png", "image/webp", "image/gif"} {
		for _, text := range []string{"", "x", "GIF89a", pngHead, "RIFF\x04\x00\x00\x00WEB", "\xff\xd8\xff", strings.Repeat("\xff", 50)} {
			if got, err := Picture(kind, []byte(text)); err == nil {
				t.Errorf("%s: %q became %q", kind, text, got)
			}
		}
	}
}

// TestDamagedPictures: whatever is wrong in a file, it is refused or stripped; nothing of a place gets through where the place
// itself is whole.
func TestDamagedPictures(t *testing.T) {
	whole := map[string][]byte{"image/jpeg": jpegOf(t, 6), "image/png": pngOf(t, 6), "image/webp": webpOf(6), "image/gif": gifOf(t)}
	stripped := 0
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]string{"image/jpeg", "image/png", "image/webp", "image/gif"}).Draw(t, "kind")
		file := bytes.Clone(whole[kind])
		chance := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		for range rapid.IntRange(1, 4).Draw(t, "changes") {
			file[chance.IntN(len(file))] = byte(chance.IntN(256))
		}
		file = file[:len(file)-rapid.SampledFrom([]int{0, 0, 0, 1, 30, 300}).Draw(t, "cut")%len(file)]
		if got, err := Picture(kind, file); err == nil {
			stripped++
			if len(got) > len(file)+100 {
				t.Fatalf("%d bytes became %d", len(file), len(got))
			}
		}
	})
	if stripped == 0 {
		t.Error("every one was refused, so nothing was tried")
	}
}
