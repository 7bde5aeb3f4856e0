package strip

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"slices"
)

// pngHead is how a PNG file begins (PNG, third edition, 5.2).
const pngHead = "\x89PNG\r\n\x1a\n"

// keptPNG are the chunks that make up what is seen: the picture, films of it, transparency, colours and the pixels' shape.
func keptPNG() []string {
	return []string{
		"IHDR", "PLTE", "IDAT", "IEND", "acTL", "fcTL", "fdAT", "tRNS", "cHRM", "gAMA", "iCCP", "sBIT", "sRGB", "cICP", "mDCV", "cLLI", "bKGD", "pHYs",
	}
}

// png leaves out texts, times, EXIF and every chunk that isn't known, and whatever comes after the end.
func png(file []byte, turned uint16) ([]byte, error) {
	rest, ok := bytes.CutPrefix(file, []byte(pngHead))
	if !ok {
		return nil, errDamaged
	}
	out := append(make([]byte, 0, len(file)), pngHead...)
	for {
		if len(rest) < 12 {
			return nil, errDamaged
		}
		size, name := uint64(binary.BigEndian.Uint32(rest)), string(rest[4:8])
		if size > uint64(len(rest)-12) {
			return nil, errDamaged
		}
		whole := rest[:12+size]
		rest = rest[12+size:]
		if slices.Contains(keptPNG(), name) {
			out = append(out, whole...)
		}
		switch {
		case name == "IEND":
			return out, nil
		case name == "IHDR" && turned != upright:
			out = append(out, chunkPNG("eXIf", exif(turned))...)
		}
	}
}

func chunkPNG(name string, body []byte) []byte {
	whole := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	whole = append(append(whole, name...), body...)
	return binary.BigEndian.AppendUint32(whole, crc32.ChecksumIEEE(whole[4:]))
}

// What a WebP file says in its head about the chunks that follow (RFC 9649, section 2.7.1).
const (
	hasXMP  = 0x04
	hasEXIF = 0x08
)

// keptWebP are the chunks that make up what is seen (RFC 9649, section 2.7).
func keptWebP() []string { return []string{"VP8 ", "VP8L", "VP8X", "ALPH", "ANIM", "ANMF", "ICCP"} }

// webp leaves out EXIF, XMP and every chunk that isn't known.
func webp(file []byte, turned uint16) ([]byte, error) {
	if len(file) < 12 || string(file[:4]) != "RIFF" || string(file[8:12]) != "WEBP" {
		return nil, errDamaged
	}
	size := uint64(binary.LittleEndian.Uint32(file[4:]))
	if size < 4 || size > uint64(len(file)-8) {
		return nil, errDamaged
	}
	out := append(make([]byte, 0, len(file)), file[:12]...)
	extended := false
	for rest := file[12 : 8+size]; len(rest) > 0; {
		if len(rest) < 8 {
			return nil, errDamaged
		}
		name, n := string(rest[:4]), uint64(binary.LittleEndian.Uint32(rest[4:]))
		n += n & 1 // padded to even
		if n > uint64(len(rest)-8) {
			return nil, errDamaged
		}
		whole := bytes.Clone(rest[:8+n])
		rest = rest[8+n:]
		if name == "VP8X" && n > 0 {
			extended = true
			whole[8] &^= hasXMP | hasEXIF
			if turned != upright {
				whole[8] |= hasEXIF
			}
		}
		if slices.Contains(keptWebP(), name) {
			out = append(out, whole...)
		}
	}
	if extended && turned != upright {
		body := exif(turned)
		out = append(binary.LittleEndian.AppendUint32(append(out, "EXIF"...), uint32(len(body))), body...)
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	return out, nil
}
