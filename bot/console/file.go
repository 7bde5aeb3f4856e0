package console

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"becket/bot"
	"becket/bot/photo"
	"becket/store"
)

// keepFile copies a picture into the store before its message is received. What can't be kept comes back with
// a sentence that says why.
func keepFile(ctx context.Context, db *store.DB, path string) bot.File {
	name := filepath.Base(path)
	info, err := os.Stat(path)
	switch {
	case err != nil && isSheet(name): // it goes with no answer, so "send it again with the answer" would mislead
		return bot.File{Name: name, Problem: fmt.Sprintf("The file %s can't be read. Nothing was taken; type where it is, like: import lists/%s.", name, name)}
	case err != nil:
		return photo.Unreadable(name)
	case !info.Mode().IsRegular(): // opening a pipe would wait for somebody to write to it
		return photo.Refused(name, "%s is no file.", name)
	}
	file, err := os.Open(path)
	if err != nil {
		return photo.Unreadable(name)
	}
	defer file.Close()
	return photo.Keep(ctx, db, name, file, info.Size())
}

// sheetIn cuts the name of a spreadsheet out of a line like "import kit.xlsx", which is how one is sent from here.
func sheetIn(line string) (text string, paths []string) {
	word, name, _ := strings.Cut(strings.TrimSpace(line), " ")
	name = strings.TrimSpace(name)
	if !strings.EqualFold(word, "import") || !isSheet(name) {
		return line, nil
	}
	return word, []string{name}
}

func isSheet(name string) bool {
	return slices.Contains([]string{".xlsx", ".xlsm", ".csv", ".tsv"}, strings.ToLower(filepath.Ext(name)))
}

// show makes copies of what goes with a reply, without saying where a photo was taken, and gives their paths. What can't be
// shown is told to whoever runs the program; the reply's text is complete without it.
func (c *Console) show(files []bot.File) (paths []string, err error) {
	for _, f := range files {
		data, err := photo.Copy(c.DB, f)
		if err != nil {
			fmt.Fprintf(os.Stderr, "becket: %s can't be shown: %v\n", f.Name, err)
			continue
		}
		path, err := c.DB.KeepCopy(f.Hash[:16]+filepath.Ext(f.Name), data)
		if err != nil {
			return nil, err
		}
		paths = append(paths, path)
	}
	return paths, nil
}
