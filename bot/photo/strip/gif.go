package strip

import (
	"bytes"
	"slices"
)

// The blocks of a GIF file (GIF89a, appendix A).
const (
	gifExtension   = 0x21
	gifImage       = 0x2c
	gifTrailer     = 0x3b
	gifComment     = 0xfe
	gifApplication = 0xff
)

// gif leaves out comments, and what applications wrote save how often a film is repeated.
func gif(file []byte) ([]byte, error) {
	const head = 13
	if len(file) < head || !bytes.HasPrefix(file, []byte("GIF8")) {
		return nil, errDamaged
	}
	at := head + colours(file[10])
	if at > len(file) {
		return nil, errDamaged
	}
	out := slices.Clone(file[:at])
	for at < len(file) {
		var body int
		switch file[at] {
		case gifTrailer:
			return append(out, gifTrailer), nil
		case gifImage:
			if at+10 > len(file) {
				return nil, errDamaged
			}
			body = at + 10 + colours(file[at+9]) + 1 // with the size of its codes
		case gifExtension:
			body = at + 2
		default:
			return nil, errDamaged
		}
		end, ok := gifBlocks(file, body)
		if !ok {
			return nil, errDamaged
		}
		if keepsGIF(file[at:end]) {
			out = append(out, file[at:end]...)
		}
		at = end
	}
	return nil, errDamaged
}

// colours is how many bytes of colours follow a field that says so.
func colours(field byte) int {
	if field&0x80 == 0 {
		return 0
	}
	return 3 << (field&7 + 1)
}

// gifBlocks is where a row of blocks, each with its length before it, ends.
func gifBlocks(file []byte, at int) (end int, ok bool) {
	for at < len(file) {
		n := int(file[at])
		at += 1 + n
		if n == 0 {
			return at, true
		}
	}
	return 0, false
}

func keepsGIF(block []byte) bool {
	if block[0] != gifExtension {
		return true
	}
	switch block[1] {
	case gifComment:
		return false
	case gifApplication:
		return bytes.HasPrefix(block[2:], []byte("\x0bNETSCAPE2.0")) || bytes.HasPrefix(block[2:], []byte("\x0bANIMEXTS1.0"))
	}
	return true
}
