package prompts

import (
	"crypto/sha256"
	"embed"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"io/fs"

	"github.com/goccy/go-yaml"
)

//go:embed reworded
var reworded embed.FS

// Reviewed are rewordings that somebody has read against their originals. It is read-only; nil has none.
type Reviewed struct{ texts map[[2]string]string }

// reviewedFile is one file of them.
type reviewedFile struct {
	Language string `yaml:"language"`
	ReadBy   string `yaml:"read_by"`
	ReadOn   string `yaml:"read_on"`
	Texts    []struct {
		From string `yaml:"from"`
		To   string `yaml:"to"`
	} `yaml:"texts"`
}

// AnyReviewed tells whether any come with the program.
func AnyReviewed() bool {
	files, err := fs.Glob(reworded, "reworded/*.yaml")
	return err != nil || len(files) > 0 // what can't be read is told by OwnReviewed
}

// OwnReviewed are those that come with the program.
func OwnReviewed(c *Checker) (*Reviewed, error) {
	inner, err := fs.Sub(reworded, "reworded")
	if err != nil {
		return nil, fmt.Errorf("the reworded texts in this program can't be read, it must be built again: %w", err)
	}
	return LoadReviewed(inner, c)
}

// LoadReviewed reads every file of a folder. One text that a check objects to, or a file that nobody has read, and none is taken.
func LoadReviewed(dir fs.FS, c *Checker) (*Reviewed, error) {
	files, err := fs.Glob(dir, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("the reworded texts can't be read: %w", err)
	}
	r := &Reviewed{map[[2]string]string{}}
	for _, name := range files {
		raw, err := fs.ReadFile(dir, name)
		if err != nil {
			return nil, fmt.Errorf("reworded texts %s: %w", name, err)
		}
		var f reviewedFile
		if err := yaml.UnmarshalWithOptions(raw, &f, yaml.Strict()); err != nil {
			return nil, fmt.Errorf("reworded texts %s: %w", name, err)
		}
		if f.ReadBy == "" || f.ReadOn == "" {
			return nil, fmt.Errorf("reworded texts %s: say who read them against the originals, and when, as read_by and read_on", name)
		}
		for _, one := range f.Texts {
			if why := c.Objections(one.From, one.To, f.Language); len(why) > 0 {
				return nil, fmt.Errorf("reworded texts %s: %.60q: %s", name, one.To, why[0])
			}
			r.texts[[2]string{f.Language, one.From}] = one.To
		}
	}
	return r, nil
}

// For finds the rewording of an original.
func (r *Reviewed) For(original, language string) (string, bool) {
	if r == nil {
		return "", false
	}
	to, is := r.texts[[2]string{language, original}]
	return to, is
}

// Key names a rewording by all that it depends on, so that none is used after any of that has changed.
func Key(original, language, model string) string {
	h := sha256.New()
	for _, part := range []string{original, language, model, fmt.Sprint(InstructionEdition), fmt.Sprint(CheckEdition)} {
		_ = binary.Write(h, binary.BigEndian, uint64(len(part))) // a hash takes everything
		h.Write([]byte(part))
	}
	return hex.EncodeToString(h.Sum(nil))
}
