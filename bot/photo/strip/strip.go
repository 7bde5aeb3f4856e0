// Package strip takes out of a picture's file all that isn't the picture: where it was taken, when, with what and by whom. No
// pixel is decoded or changed, and a picture still shows the right way up.
package strip

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/bep/imagemeta"
)

// ErrKind says that nothing is known about taking such a file apart, so no copy of it may leave.
var ErrKind = errors.New("a picture of this kind can't be freed of where it was taken")

// errDamaged says that a file isn't built as its kind is.
var errDamaged = errors.New("the picture is damaged")

// Picture gives a copy of a picture's file without what was written into it besides the picture. kind is its media type:
// image/jpeg, image/png, image/webp or image/gif; ErrKind for any other. What can't be taken apart whole is an error,
// never half stripped.
func Picture(kind string, file []byte) ([]byte, error) {
	switch kind {
	case "image/jpeg":
		return jpeg(file, orientation(imagemeta.JPEG, file))
	case "image/png":
		return png(file, orientation(imagemeta.PNG, file))
	case "image/webp":
		return webp(file, orientation(imagemeta.WebP, file))
	case "image/gif":
		return gif(file)
	}
	return nil, fmt.Errorf("%s: %w", kind, ErrKind)
}

// Turned is how a picture's file says that it is turned and mirrored for showing, 1 to 8 as in EXIF 2.32, 4.6.4 A (tag 274);
// 1, as it is stored, where it doesn't say.
func Turned(kind string, file []byte) uint16 {
	switch kind {
	case "image/jpeg":
		return orientation(imagemeta.JPEG, file)
	case "image/png":
		return orientation(imagemeta.PNG, file)
	case "image/webp":
		return orientation(imagemeta.WebP, file)
	}
	return upright
}

// upright is the orientation of a picture that is shown as it is stored.
const upright = 1

// orientation is how a picture is turned and mirrored for showing, 1 to 8 as in EXIF 2.32, 4.6.4 A (tag 274); upright where
// the file doesn't say, or can't be read.
func orientation(kind imagemeta.ImageFormat, file []byte) uint16 {
	turned := uint16(upright)
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(file), ImageFormat: kind, Sources: imagemeta.EXIF,
		ShouldHandleTag: func(tag imagemeta.TagInfo) bool { return tag.Tag == "Orientation" && tag.Namespace == "IFD0" },
		HandleTag: func(tag imagemeta.TagInfo) error {
			if n, ok := tag.Value.(uint16); ok && n >= 1 && n <= 8 {
				turned = n
			}
			return imagemeta.ErrStopWalking
		},
		Warnf: func(string, ...any) {},
	})
	if err != nil {
		return upright
	}
	return turned
}

// exif is a block of EXIF that says how a picture is turned, and nothing else: a TIFF head, one directory of one entry
// (TIFF 6.0, section 2).
func exif(turned uint16) []byte {
	return []byte{
		'M', 'M', 0, 42, 0, 0, 0, 8, // big end first; the directory is at 8
		0, 1, // entries
		0x01, 0x12, 0, 3, 0, 0, 0, 1, byte(turned >> 8), byte(turned), 0, 0, // orientation, one short
		0, 0, 0, 0, // no directory after this
	}
}
