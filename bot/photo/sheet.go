package photo

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"becket/bot"
	"becket/store"
)

// maxSheetBytes is how large a spreadsheet may be.
const maxSheetBytes = 5 << 20

// keepSheet is Keep for a spreadsheet. What is in it is looked at later.
func keepSheet(ctx context.Context, db *store.DB, f bot.File, r io.ReadSeeker, size int64) bot.File {
	if size > maxSheetBytes {
		f.Problem = fmt.Sprintf("%s has %d MB; a spreadsheet may have %d MB here. Nothing was taken.", f.Name, size>>20, maxSheetBytes>>20)
		return f
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return Unreadable(f.Name)
	}
	var err error
	if f.Hash, f.Size, err = db.PutBlob(ctx, r, maxSheetBytes); err != nil {
		f.Problem = fmt.Sprintf("%s couldn't be kept: %v. Nothing was taken.", f.Name, err)
	}
	return f
}

// sheetOf is what kind of spreadsheet a file is, by its name and its beginning; empty: none.
func sheetOf(name string, head []byte) string {
	packed := bytes.HasPrefix(head, []byte("PK\x03\x04"))
	switch strings.ToLower(filepath.Ext(name)) {
	case ".xlsx", ".xlsm":
		if packed {
			return bot.WorkbookType
		}
	case ".csv", ".tsv":
		if !packed && typeOf(head) == "" {
			return bot.CSVType
		}
	}
	return ""
}

// otherSheet tells whether a file that is no photo calls itself a spreadsheet: of another kind, or a damaged one.
func otherSheet(name string) bool {
	return slices.Contains([]string{".xls", ".xlsx", ".xlsm", ".xlsb", ".ods", ".csv", ".tsv", ".numbers"}, strings.ToLower(filepath.Ext(name)))
}
